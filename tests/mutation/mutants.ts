// Mutants of a source file: each is one small change that a mistake could have made, found on the syntax tree.
// Takes the text of a file; gives the changes in the order of the text, and a text that holds all of them at once, each
// behind a switch, so that the sources are bundled once for all mutants. Always: types, comments, imports, texts and what
// only words an error are left alone.
import ts from "typescript";

/** Where a change stands in the tree: it says how the change is switched. */
type Role = "operator" | "operand" | "literal" | "condition" | "name" | "statement";

/** One change. */
export interface Mutant {
  readonly role: Role;
  readonly from: number;
  readonly text: string;
  /** Line of the file, from 1. */
  readonly line: number;
  /** What is changed to what. */
  readonly what: string;
  /** The line as it stands. */
  readonly whole: string;
}

const { SyntaxKind: K } = ts;

/** Signs that stand in for each other. */
const swaps: ReadonlyMap<ts.SyntaxKind, readonly string[]> = new Map([
  [K.PlusToken, ["-"]],
  [K.MinusToken, ["+"]],
  [K.AsteriskToken, ["/"]],
  [K.SlashToken, ["*"]],
  [K.LessThanToken, ["<=", ">="]],
  [K.LessThanEqualsToken, ["<", ">"]],
  [K.GreaterThanToken, [">=", "<="]],
  [K.GreaterThanEqualsToken, [">", "<"]],
  [K.EqualsEqualsEqualsToken, ["!=="]],
  [K.ExclamationEqualsEqualsToken, ["==="]],
  [K.AmpersandAmpersandToken, ["||"]],
  [K.BarBarToken, ["&&"]],
  [K.QuestionQuestionToken, ["&&"]],
  [K.PlusEqualsToken, ["-="]],
  [K.MinusEqualsToken, ["+="]],
]);

const calls: ReadonlyMap<string, string> = new Map([
  ["min", "max"],
  ["max", "min"],
  ["floor", "ceil"],
  ["ceil", "floor"],
  ["some", "every"],
  ["every", "some"],
  ["lt", "lte"],
  ["lte", "lt"],
  ["gt", "gte"],
  ["gte", "gt"],
]);

const parsed = (text: string) => ts.createSourceFile("mutated.ts", text, ts.ScriptTarget.ESNext, true);

/** What is no code, or only words an error. */
const leftAlone = (node: ts.Node) =>
  ts.isTypeNode(node) ||
  ts.isImportDeclaration(node) ||
  ts.isInterfaceDeclaration(node) ||
  ts.isTypeAliasDeclaration(node) ||
  ts.isThrowStatement(node);

/** All mutants of a file. */
export function mutantsOf(text: string): Mutant[] {
  const file = parsed(text);
  const lines = text.split("\n");
  const found: Mutant[] = [];
  const add = (role: Role, node: ts.Node, put: string) => {
    const from = node.getStart(file);
    const was = text.slice(from, node.end).replace(/\s+/g, " ");
    const line = file.getLineAndCharacterOfPosition(from).line + 1;
    const what = `${was.slice(0, 60)} → ${put.slice(0, 60)}`;
    found.push({ role, from, text: put, line, what, whole: lines[line - 1].trim() });
  };
  const visit = (node: ts.Node): void => {
    if (leftAlone(node)) return;
    if (ts.isBinaryExpression(node))
      for (const put of swaps.get(node.operatorToken.kind) ?? []) add("operator", node.operatorToken, put);
    else if (ts.isPrefixUnaryExpression(node) && [K.ExclamationToken, K.MinusToken].includes(node.operator))
      add("operand", node, node.operand.getText(file));
    else if (ts.isNumericLiteral(node) && !ts.isEnumMember(node.parent) && !namesProperty(node))
      add("literal", node, node.text === "0" ? "1" : node.text === "1" ? "0" : `(${node.text} + 1)`);
    else if (node.kind === K.TrueKeyword) add("literal", node, "false");
    else if (node.kind === K.FalseKeyword) add("literal", node, "true");
    else if (ts.isConditionalExpression(node)) {
      add("condition", node.condition, "true");
      add("condition", node.condition, "false");
    } else if (ts.isIfStatement(node)) {
      add("condition", node.expression, "false");
      if (!node.elseStatement) add("condition", node.expression, "true");
    } else if (ts.isPropertyAccessExpression(node) && calls.has(node.name.text))
      add("name", node.name, calls.get(node.name.text)!);
    else if (ts.isExpressionStatement(node) && ts.isCallExpression(node.expression))
      add("statement", node, ";");
    ts.forEachChild(node, visit);
  };
  visit(file);
  return found;
}

const namesProperty = (node: ts.Node) => ts.isPropertyAssignment(node.parent) && node.parent.name === node;

const isLoop = (node: ts.Node): node is ts.IterationStatement => ts.isIterationStatement(node, false);

/** The switches, as a module that every changed file imports. */
export const switches = `
const s = globalThis.mutation;
export const $is = (n) => { s.hit[n] = 1; return s.on === n; };
export const $minus = (n, v) => ($is(n) ? v : -v);
export const $tick = () => { if (++s.ticks > s.limit) throw s.endless(); };
`;

/**
 * The text with all the mutants in it, each behind the switch of its number, and a count of the turns of every loop, so that
 * one that never ends is found without a clock.
 */
export function switchable(text: string, mutants: readonly (Mutant & { readonly id: number })[]): string {
  const file = parsed(text);
  const by = new Map<string, (Mutant & { readonly id: number })[]>();
  for (const m of mutants) by.set(`${m.role} ${m.from}`, [...(by.get(`${m.role} ${m.from}`) ?? []), m]);
  const at = (role: Role, node: ts.Node) => by.get(`${role} ${node.getStart(file)}`) ?? [];
  const helpers: string[] = [];

  // A node's text, the blanks and comments before it included, with the switches of all that is in it.
  const put = (node: ts.Node): string => {
    if (leftAlone(node)) return text.slice(node.pos, node.end);
    const own = switched(node);
    if (own !== undefined) return own;
    let [out, from] = ["", node.pos];
    ts.forEachChild(node, (child) => {
      out += text.slice(from, child.pos) + around(child);
      from = child.end;
    });
    return out + text.slice(from, node.end);
  };
  const around = (node: ts.Node): string => {
    const { parent } = node;
    if (isLoop(parent) && parent.statement === node) return ` { $tick(); ${put(node)}\n}`;
    const decides =
      (ts.isConditionalExpression(parent) && parent.condition === node) ||
      (ts.isIfStatement(parent) && parent.expression === node);
    if (!decides) return put(node);
    return at("condition", node).reduce(
      (inner, m) => (m.text === "true" ? ` ($is(${m.id}) || ${inner})` : ` (!$is(${m.id}) && ${inner})`),
      ` (${put(node)})`,
    );
  };
  const switched = (node: ts.Node): string | undefined => {
    if (ts.isBinaryExpression(node)) {
      const own = at("operator", node.operatorToken);
      return own.length > 0 ? operation(node, own) : undefined;
    }
    if (ts.isPropertyAccessExpression(node)) {
      const [m] = at("name", node.name);
      if (!m) return undefined;
      const name = `[$is(${m.id}) ? "${m.text}" : "${node.name.text}"]`;
      return `${put(node.expression)}${node.questionDotToken ? "?." : ""}${name}`;
    }
    if (ts.isPrefixUnaryExpression(node)) {
      const [m] = at("operand", node);
      if (!m) return undefined;
      if (node.operator === K.MinusToken) return ` $minus(${m.id}, ${put(node.operand)})`;
      return ` ($is(${m.id}) !== !${put(node.operand)})`;
    }
    if (ts.isExpressionStatement(node)) {
      const [m] = at("statement", node);
      // In braces: an `else` behind it belongs to the `if` before it.
      return m ? ` { if (!$is(${m.id})) ${put(node.expression)}; }` : undefined;
    }
    if (ts.isNumericLiteral(node) || node.kind === K.TrueKeyword || node.kind === K.FalseKeyword) {
      const [m] = at("literal", node);
      return m ? ` ($is(${m.id}) ? ${m.text} : ${node.getText(file)})` : undefined;
    }
    return undefined;
  };
  const operation = (node: ts.BinaryExpression, own: readonly (Mutant & { readonly id: number })[]) => {
    const [left, right] = [put(node.left), put(node.right)];
    const [{ id }] = own;
    switch (node.operatorToken.kind) {
      // The right side is looked at where the left one is true (and), false (or), or missing.
      case K.AmpersandAmpersandToken:
        return ` (($t = (${left}), $is(${id}) !== !!$t) ? (${right}) : $t)`;
      case K.BarBarToken:
        return ` (($t = (${left}), $is(${id}) !== !$t) ? (${right}) : $t)`;
      case K.QuestionQuestionToken:
        return ` (($t = (${left}), $is(${id}) ? !!$t : $t == null) ? (${right}) : $t)`;
      case K.PlusEqualsToken:
      case K.MinusEqualsToken:
        return `${left} ${node.operatorToken.getText(file)} ($is(${id}) ? -(${right}) : (${right}))`;
    }
    const other = own.map((m) => `$is(${m.id}) ? a ${m.text} b : `).join("");
    helpers.push(`function $${id}(a, b) { return ${other}a ${node.operatorToken.getText(file)} b; }`);
    return ` $${id}(${left}, ${right})`;
  };

  const body = put(file);
  return `import { $is, $minus, $tick } from "switches";\nlet $t;\n${body}\n${helpers.join("\n")}\n`;
}
