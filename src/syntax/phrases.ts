// Writes the insides of statements: expressions, references, values with their tolerances, properties. Brackets are written only
// where they matter: around an expression that binds too loosely, or that would be read as something else.
import type { Expression, Property, PropertyValue, Reference, ToleranceClause, Valued } from "./tree.js";

/** Whether an expression would be read as something else where it stands. */
type Doubt = (e: Expression) => boolean;

/** A property: its word and what follows it. */
export function propertyText(one: Property, doubt: Doubt = () => false): string {
  const value = propertyValue(one.value, doubt);
  return value === "" ? one.word.text : `${one.word.text} ${value}`;
}

function propertyValue(value: PropertyValue, doubt: Doubt): string {
  switch (value.type) {
    case "amount": {
      // With something behind it, one of these words would begin a condition or times.
      const more = value.how?.text ?? (value.at && `at ${expressionText(value.at)}`);
      const followed = more !== undefined && !value.amount.tolerance;
      const clause: Doubt = (e) =>
        (e.type !== "name" || followed) && leads(e, "while", "from", "after", "before");
      if (more === undefined) return valuedText(value.amount, (e) => doubt(e) || clause(e));
      // A word after a number is read as its unit, so a number without a unit needs brackets.
      const { value: e, tolerance } = value.amount;
      const text = expressionText(e, 0, (e) => doubt(e) || clause(e) || (!tolerance && unitless(e)));
      const margin = tolerance ? ` ${toleranceText(tolerance, unitless)}` : "";
      return `${text}${margin} ${more}`;
    }
    case "while":
      return `while ${referenceText(value.place)} ${value.side} ${expressionText(value.level)}`;
    case "times":
      if (value.from && value.to) return `from ${expressionText(value.from)} to ${expressionText(value.to)}`;
      return value.from ? `after ${expressionText(value.from)}` : `before ${expressionText(value.to!)}`;
    case "bare":
      return "";
  }
}

/** A reference, its words with dots between them. */
export function referenceText(one: Reference): string {
  return one.path.map((word) => word.text).join(".");
}

/** A value and its tolerance. */
export function valuedText(amount: Valued, doubt: Doubt = () => false): string {
  const value = expressionText(amount.value, 0, doubt);
  return amount.tolerance ? `${value} ${toleranceText(amount.tolerance)}` : value;
}

function toleranceText(one: ToleranceClause, doubt: Doubt = () => false): string {
  if (expressionText(one.below) === expressionText(one.above))
    return `+- ${expressionText(one.above, 0, doubt)}`;
  return `-${expressionText(one.below, 4)} / +${expressionText(one.above, 4, doubt)}`;
}

// How tightly an expression binds: sums 1, products 2, a minus in front 3, all else 4.
function binding(e: Expression): number {
  if (e.type === "binary") return e.operator === "+" || e.operator === "-" ? 1 : 2;
  return e.type === "negative" ? 3 : 4;
}

/** An expression, in brackets where it binds less tightly than asked for or might be read as something else. */
export function expressionText(e: Expression, least = 0, doubt: Doubt = () => false): string {
  const text = bare(e);
  return binding(e) < least || doubt(e) ? `(${text})` : text;
}

function bare(e: Expression): string {
  switch (e.type) {
    case "number":
      return `${e.digits.text}${e.unit ? ` ${e.unit.text}` : ""}${e.per ? `/${e.per.text}` : ""}`;
    case "name":
      return referenceText(e.reference);
    case "negative":
      return `-${expressionText(e.of, 4)}`;
    case "binary": {
      const own = binding(e);
      return `${expressionText(e.left, own)} ${e.operator} ${expressionText(e.right, own + 1)}`;
    }
  }
}

// What an expression begins with when written: a leaf, or brackets, which settle every doubt.
function start(e: Expression): Expression {
  let at = e;
  while (at.type === "binary" && binding(at.left) >= binding(at)) at = at.left;
  return at;
}

/** Whether it begins with one of these words when written. */
export function leads(e: Expression, ...words: string[]): boolean {
  const leaf = start(e);
  return leaf.type === "name" && words.includes(leaf.reference.path[0].text);
}

/** Whether it ends in a number without a unit when written. */
function unitless(e: Expression): boolean {
  let at = e;
  for (;;) {
    if (at.type === "negative" && binding(at.of) >= 4) at = at.of;
    else if (at.type === "binary" && binding(at.right) > binding(at)) at = at.right;
    else return at.type === "number" && !at.unit;
  }
}

/** Whether it begins with a minus when written. */
export function negative(e: Expression): boolean {
  return start(e).type === "negative";
}
