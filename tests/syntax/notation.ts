// A tree in a notation small enough for case files; written from the tree alone, apart from the formatter.
// 15:nF a number, @a.b a name, (+ x y) and (- x) arithmetic, v~5:% a tolerance, v~5:%/8:% a lopsided one.
import type { Expression, Property, Reference, Statement, Valued, Waveform } from "../../src/syntax/tree.js";

export function notation(s: Statement): string {
  switch (s.type) {
    case "title":
      return `title "${s.text}"`;
    case "bring":
      return `bring "${s.path.text}"`;
    case "given":
    case "supply":
      return [`${s.type} ${s.name.text} ${valued(s.amount)}`, ...s.properties.map(property)].join(" | ");
    case "signal":
      return `signal ${s.name.text} ${wave(s.wave)}`;
    case "part": {
      const rest = s.wave ? [wave(s.wave)] : s.amount ? [valued(s.amount)] : [];
      const head = `part ${s.kind.text} ${s.name.text} ${ref(s.tail)}>${ref(s.head)}`;
      return [[head, ...rest].join(" "), ...s.properties.map(property)].join(" | ");
    }
    case "block":
      return `block ${s.name.text} [${s.places.map((p) => p.text).join(" ")}] {${s.body.map(notation).join("; ")}}`;
    case "use": {
      const values = s.values.map((v) => `${v.name.text}=${valued(v.amount)}`).join(" ");
      return `use ${s.block.text} ${s.name.text} [${s.places.map(ref).join(" ")}] {${values}}`;
    }
    case "run":
      return `run ${expression(s.length)}${s.start ? ` from ${s.start.text}` : ""}`;
    case "case":
      return `case "${s.name.text}" ${s.changes
        .map((c) => {
          const words = [ref(c.target), c.verb.text];
          if (c.amount) words.push(valued(c.amount));
          if (c.at) words.push(`at:${expression(c.at)}`);
          return words.join(" ");
        })
        .join(" | ")}`;
    case "check": {
      const words = measured(s);
      if (s.limit.type === "is") words.push(`is ${valued(s.limit.amount)}`);
      else if (s.limit.type === "between")
        words.push(`between ${expression(s.limit.low)} ${expression(s.limit.high)}`);
      else words.push(`${s.limit.type} ${expression(s.limit.level)}`);
      if (s.scope?.type === "case") words.push(`in:"${s.scope.name.text}"`);
      if (s.scope?.type === "every") words.push("in:every");
      if (s.scope?.type === "capture") words.push(`in:capture"${s.scope.path?.text ?? ""}"`);
      return words.join(" ");
    }
    case "show": {
      const where = s.scope?.type === "case" ? [`in:"${s.scope.name.text}"`] : s.scope ? ["in:every"] : [];
      return [...measured(s), ...where].join(" ");
    }
    case "capture": {
      const where = s.scope ? ` in:"${s.scope.text}"` : "";
      return [`capture "${s.path.text}" ${ref(s.of)}${where}`, ...s.properties.map(property)].join(" | ");
    }
    case "find": {
      const unknowns = s.unknowns.map((u) => {
        const series = u.series ? ` ${u.series.text}` : "";
        return `${ref(u.target)} ${expression(u.from)}..${expression(u.to)}${series}`;
      });
      return `find ${unknowns.join(" | ")} for ${s.goals.map((g) => `"${g.text}"`).join(" ")}`;
    }
    case "reading": {
      const words = [`reading "${s.phrase.text}" ${valued(s.amount)}`];
      if (s.scope) words.push(s.scope.type === "every" ? "in:every" : `in:"${s.scope.name.text}"`);
      return words.join(" ");
    }
    case "testpoint":
      return `testpoint "${s.name.text}" ${ref(s.of)}`;
  }
}

function ref(r: Reference): string {
  return r.path.map((w) => w.text).join(".");
}

function expression(e: Expression): string {
  switch (e.type) {
    case "number":
      return e.digits.text + (e.unit ? `:${e.unit.text}` : "") + (e.per ? `/${e.per.text}` : "");
    case "name":
      return `@${ref(e.reference)}`;
    case "negative":
      return `(- ${expression(e.of)})`;
    case "binary":
      return `(${e.operator} ${expression(e.left)} ${expression(e.right)})`;
  }
}

function valued(v: Valued): string {
  if (!v.tolerance) return expression(v.value);
  const [below, above] = [expression(v.tolerance.below), expression(v.tolerance.above)];
  return `${expression(v.value)}~${below === above ? below : `${below}/${above}`}`;
}

function property(p: Property): string {
  const { value } = p;
  switch (value.type) {
    case "amount":
      return `${p.word.text} ${valued(value.amount)}${value.how ? ` ${value.how.text}` : ""}`;
    case "while":
      return `${p.word.text} while ${ref(value.place)} ${value.side} ${expression(value.level)}`;
    case "times": {
      const end = (e: Expression | undefined) => (e ? expression(e) : "");
      return `${p.word.text} times ${end(value.from)}..${end(value.to)}`;
    }
    case "bare":
      return p.word.text;
  }
}

function wave(w: Waveform): string {
  const properties = w.properties.map(property);
  switch (w.type) {
    case "pulse":
    case "sine":
      return [`<${w.type} ${expression(w.low)}..${expression(w.high)}`, ...properties].join(" | ") + ">";
    case "sync": {
      const head = `<${w.which.text} sync ${w.system.text} ${expression(w.low)}..${expression(w.high)}`;
      return `${[head, ...properties].join(" | ")}>`;
    }
    case "video": {
      const shown = w.picture ? `${w.pattern.text} "${w.picture.text}"` : w.pattern.text;
      return `${[`<video ${w.system.text} ${shown}`, ...properties].join(" | ")}>`;
    }
    case "capture":
      return `${[`<capture "${w.path.text}"`, ...properties].join(" | ")}>`;
    case "noise":
      return `${[`<noise ${expression(w.size)}`, ...properties].join(" | ")}>`;
    case "path": {
      const points = w.points.map((p) => `${expression(p.time)}=>${expression(p.level)}`).join(" ");
      return `${[`<path ${points}`, ...properties].join(" | ")}>`;
    }
  }
}

function measured(s: Statement & { type: "check" | "show" }): string[] {
  const words = [`${s.type} "${s.name.text}" ${s.measure.map((m) => m.text).join("+")}(${ref(s.target)})`];
  if (s.at) words.push(`at:${expression(s.at)}`);
  if (s.through) words.push(`${s.through.direction?.text ?? "either"}:${expression(s.through.level)}`);
  const { each, within, after, before } = s.window;
  if (each) words.push(`each:${ref(each)}`);
  if (within) words.push(`within:${expression(within.from)}..${expression(within.to)}`);
  if (after) words.push(`after:${expression(after)}`);
  if (before) words.push(`before:${expression(before)}`);
  return words;
}
