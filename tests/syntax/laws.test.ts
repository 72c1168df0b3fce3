// Laws that hold for every text and every tree: reading never throws, laying out keeps the meaning and the comments
// and is idempotent, a mend that is offered serves. No outside source: these are the promises of the syntax stage.
import * as fc from "fast-check";
import { expect, test } from "vitest";
import { productions } from "../../grammar/productions.js";
import { format, formatTree } from "../../src/syntax/layout.js";
import { read } from "../../src/syntax/read.js";
import { showDiagnostic } from "../../src/syntax/show.js";
import { keywords, statementWords } from "../../src/syntax/tokens.js";
import { tries } from "../counts.js";
import { bareTree, tree } from "./making.js";
import { mend } from "./mended.js";
import { spoken } from "./speaking.js";

/** The rules that stand for statements. */
const statements = new Set<string>([...statementWords, "design", "part"]);

const options = { seed: 1953, numRuns: tries(1500) };

test("a tree written as text and read again is the same tree", () => {
  fc.assert(
    fc.property(tree, (made) => {
      const { text, diagnostics } = formatTree(made);
      expect(diagnostics).toEqual([]);
      const { tree: again, report } = read(text!);
      expect(report.diagnostics, text).toEqual([]);
      expect(bareTree(again.statements), text).toEqual(bareTree(made.statements));
    }),
    options,
  );
});

test("layout is idempotent", () => {
  fc.assert(
    fc.property(tree, (made) => {
      const { text } = formatTree(made);
      expect(format(text!).text).toBe(text);
    }),
    options,
  );
});

// Breaks lines where the language lets them be broken, adds blanks, blank lines and comments.
const mess = fc.tuple(tree, fc.infiniteStream(fc.integer({ min: 0, max: 9 }))).map(([made, dice]) => {
  const { text } = formatTree(made);
  let number = 0;
  const roll = () => dice.next().value as number;
  const comment = () => `# remark ${++number}`;
  // Texts in quotes stay as they are.
  const laid = text!.split("\n");
  const messy = laid
    .map((line) =>
      line
        .split(/("[^"]*")/)
        .map((piece) => {
          if (piece.startsWith('"')) return piece;
          return piece.replace(/, | -> | [+*] | /g, (gap, at: number) => {
            const die = roll();
            // A line with nothing but `end` would end a block.
            if (/^end\b/.test(piece.slice(at + gap.length))) return gap;
            if (gap !== " " && die < 2) return `${gap}\n   `;
            if (gap !== " " && die === 2) return `${gap} ${comment()}\n`;
            if (gap !== " " && die === 3) return `${gap}\n  ${comment()}\n`;
            return die === 4 ? gap.replaceAll(" ", " \t ") : gap;
          });
        })
        .join(""),
    )
    .flatMap((line, i) => {
      const die = roll();
      // A blank line would end a statement that goes on.
      const inside = laid[i].endsWith(",") || (laid[i - 1] ?? "").endsWith(",");
      if (die === 0 && !inside) return [line, ""];
      if (die === 1) return inside ? [comment(), line] : ["", "", comment(), line];
      if (die === 2 && line !== "") return [`${line} ${comment()}`];
      return [line];
    })
    .join("\n");
  return { made, messy };
});

test("layout keeps meaning and comments of a messy text, and is idempotent on it", () => {
  fc.assert(
    fc.property(mess, ({ made, messy }) => {
      const first = read(messy);
      expect(first.report.diagnostics, messy).toEqual([]);
      expect(bareTree(first.tree.statements), messy).toEqual(bareTree(made.statements));
      const laid = format(messy).text!;
      const again = read(laid).tree;
      expect(bareTree(again.statements), laid).toEqual(bareTree(made.statements));
      const remarks = (t: typeof again) => t.comments.map((c) => c.text).sort();
      expect(remarks(again)).toEqual(remarks(first.tree));
      expect(format(laid).text).toBe(laid);
    }),
    options,
  );
});

test.each(
  productions()
    .map((rule) => rule.name)
    .filter((name) => statements.has(name)),
)(
  "layout keeps meaning and comments of what the rule %s of the grammar can say, and is idempotent on it",
  (rule) => {
    let taken = 0;
    const runs = tries(400);
    fc.assert(
      fc.property(spoken(rule), (text) => {
        const first = read(text);
        if (first.report.failed) return;
        taken++;
        const laid = format(text).text!;
        const again = read(laid);
        expect(again.report.diagnostics, laid).toEqual([]);
        expect(bareTree(again.tree.statements), laid).toEqual(bareTree(first.tree.statements));
        const remarks = (t: typeof first.tree) => t.comments.map((c) => c.text).sort();
        expect(remarks(again.tree)).toEqual(remarks(first.tree));
        expect(format(laid).text).toBe(laid);
      }),
      { seed: 1953, numRuns: runs },
    );
    // The law would be empty if few of the texts could be read.
    expect(taken).toBeGreaterThan(runs / 8);
  },
);

const words = [
  ...keywords,
  "ramp",
  "5",
  "4.7us",
  "V",
  "->",
  ",",
  "=",
  "+-",
  "(",
  ")",
  "-",
  "/",
  "+",
  ".",
  '"a"',
  '"',
  "#",
  "\n",
  "@",
  "٣",
  "\0",
  "\ud800",
  "\r\n",
  "%",
  "end\n",
  "block a joins b\n",
  "resistor r a -> b ",
];
const soup = fc.array(fc.constantFrom(...words), { maxLength: 40 }).map((all) => all.join(" "));
const noise = fc.oneof(
  soup,
  fc.string({ unit: "binary", maxLength: 60 }),
  fc.string({ unit: "grapheme", maxLength: 60 }),
);

test("no text makes reading throw, and every diagnostic has a place in the text", () => {
  fc.assert(
    fc.property(noise, (text) => {
      const { report, tree: found } = read(text, { kinds: ["resistor"] });
      const lines = text.replace(/^\ufeff/, "").split(/\r\n|\n|\r/);
      for (const d of report.diagnostics) {
        const line = lines[d.span.line - 1];
        expect(line, JSON.stringify(d)).toBeDefined();
        expect(d.span.column).toBeGreaterThanOrEqual(1);
        expect(d.span.column - 1).toBeLessThanOrEqual(line.length);
        expect(d.message).not.toMatch(/undefined|NaN|EOF/);
        // What concerns the text as a whole points nowhere.
        const whole = d.span.line === 1 && d.span.column === 1 && d.span.length === 0;
        const shown = showDiagnostic(d, text, "x.ramp").split("\n");
        if (whole) expect(shown.join()).not.toMatch(/\^/);
        else expect(shown[2]).toMatch(/\^/);
        if (d.fix) expect(() => mend(text, d.fix!)).not.toThrow();
      }
      expect(report.failed || found.statements.length > 0).toBe(true);
      if (!report.failed) expect(format(text).text).toBeDefined();
    }),
    { ...options, numRuns: tries(6000) },
  );
});

test("a mend that is offered for one wrong statement makes it right", () => {
  let offered = 0;
  fc.assert(
    fc.property(
      tree,
      fc.nat(),
      fc.constantFrom("", ...words.filter((w) => !/[\n\r]/.test(w))),
      (made, at, put) => {
        // One token of one statement taken out or replaced.
        const { text } = formatTree({
          ...made,
          statements: made.statements.filter((s) => s.type !== "block").slice(0, 1),
        });
        if (text === "") return;
        const tokens = text!.trimEnd().split(" ");
        tokens[at % tokens.length] = put;
        const wrong = tokens.join(" ");
        const before = read(wrong).report;
        // A mend is tried with its own statement alone, so it is asked here of texts with one mistake.
        if (before.diagnostics.length !== 1) return;
        const fix = before.diagnostics[0].fix;
        if (!fix) return;
        offered++;
        expect(
          read(mend(wrong, fix)).report.diagnostics.filter((d) => d.code !== "empty-design"),
          wrong,
        ).toEqual([]);
      },
    ),
    { ...options, numRuns: tries(4000) },
  );
  // The law would be empty if mends were hardly ever offered.
  expect(offered).toBeGreaterThan(tries(100));
});
