// The verb `size`: finds the values that the design's `find` statements ask for.
import { engineering } from "../../base/quantity.js";
import { seriesNames } from "../../base/series.js";
import { measuredText } from "../../report/verdicts.js";
import type { SizedAnswer } from "../../sizing/outcome.js";
import type { Trial } from "../../sizing/proposals.js";
import { type Sizing, size } from "../../sizing/sizing.js";
import { watched } from "../bar.js";
import { load } from "../load.js";
import { choice, whole } from "../option.js";
import { printable } from "../output.js";
import { EarlyEnd, status } from "../refusal.js";
import { otherValues, simulateAsked, simulating } from "../sharedoptions.js";
import { columns } from "../table.js";
import { designFile, verb } from "../verb.js";

export const sizeVerb = verb({
  word: "size",
  summary: "finds the values that the design asks to find, and what to buy for them",
  operand: designFile,
  options: {
    in: choice("SERIES", seriesNames, "preferred values for values to find that name no series"),
    points: whole("points of a range looked at before roots are narrowed down (default: 17)", 3, 1001),
    ...otherValues,
    ...simulating,
  },
  more: `The design says what to find, in lines such as
  find timing from 1 nF to 100 nF in E12 for "fills the tube"
where the text in quotes names a check: the value is sought that makes it measure what it aims at.`,
  example: "size line.ramp --in E24",
  statuses: {
    0: "every find has an answer",
    1: "one has none",
    2: "the design is wrong or asks to find nothing",
    3: "no run could be completed",
  },
  async run({ operands: [file], options }) {
    const loaded = await load(file, options);
    const { design } = loaded;
    if (design.finds.length === 0) {
      const model = 'find timing from 1 nF to 100 nF in E12 for "fills the tube"';
      throw new EarlyEnd(`the design asks to find nothing; add a line like: ${model}`, status.wrong);
    }
    const { in: series, points } = options;
    const sizes = watched("runs", (bar) =>
      design.finds.map((find) =>
        size(design, find, {
          progress: (runs) => bar.at(runs),
          in: series,
          points,
          simulate: simulateAsked(options),
        }),
      ),
    );
    return { title: design.title, sizes, loaded };
  },
  text: ({ title, sizes }) => `${[printable(title), ...sizes.flatMap(shown)].join("\n")}\n`,
  json: ({ title, sizes }) => ({ title, sizes }),
  status: ({ sizes }) => {
    if (sizes.some((s) => s.answers.length === 0 && s.runs > 0 && s.stopped === s.runs))
      return status.stopped;
    return sizes.every((s) => s.answers.length > 0) ? status.good : status.fails;
  },
  designs: ({ loaded }) => [loaded],
});

/** One sizing as lines of text. */
function shown(s: Sizing): string[] {
  const names = s.unknowns.map((u) => u.name).join(", ");
  const goals = s.goals.map((g) => `"${g.name}"${g.case === "" ? "" : ` in case "${g.case}"`}`).join(", ");
  const lines = ["", printable(`find ${names} for ${goals}: ${s.status}`)];
  if (s.reason !== "") lines.push(printable(`  ${s.reason}`));
  const heads = ["", ...s.unknowns.map((u) => u.name), ...s.goals.map((g) => g.what), "verdict"];
  const rows = [heads];
  const notes: string[] = [];
  for (const [i, a] of s.answers.entries()) {
    const which = s.answers.length > 1 ? ` ${i + 1}` : "";
    rows.push(...answerRows(s, a, which));
    notes.push(...trimWords(s, a, which));
  }
  if (s.best) rows.push(row(s, s.best, "best in the range"));
  if (s.beyond) rows.push(row(s, s.beyond, "beyond the range"));
  const right = new Set(heads.map((_, c) => c).filter((c) => c > 0 && c < heads.length - 1));
  if (rows.length > 1) lines.push(...columns(rows, right).map((text) => `  ${printable(text)}`));
  return [...lines, ...notes.map((text) => printable(`  ${text}`))];
}

function answerRows(s: Sizing, a: SizedAnswer, which: string): string[][] {
  const rows = [row(s, a, `exact${which}`)];
  const series = [...new Set(s.unknowns.flatMap((u) => u.series ?? []))].join("/");
  for (const t of a.preferred) {
    const below = t.values[0] <= a.values[0];
    const side = s.unknowns.length > 1 ? "" : t.values[0] === a.values[0] ? "" : below ? " below" : " above";
    rows.push(row(s, t, `${series}${side}`));
  }
  for (const p of a.pairs) {
    const i = s.unknowns.findIndex((u) => u.name === p.unknown);
    const { unit } = s.unknowns[i];
    const [big, small] = p.parts.map((v) => engineering(v, unit));
    rows.push(row(s, p, `${big} and ${small} in ${p.wiring}`));
  }
  return rows;
}

// Six figures: nobody buys an exact value, and what is printed on a part has fewer anyway.
function row(s: Sizing, t: Trial, label: string): string[] {
  const values = t.values.map((v, i) => engineering(v, unitOf(s, i), 6));
  const note = t.inside ? "" : ", outside the range";
  return [
    label,
    ...values,
    ...t.results.map((r) => measuredText(r, r.measured)),
    `${t.met ? "meets" : "MISSES"}${note}`,
  ];
}

function trimWords(s: Sizing, a: SizedAnswer, which: string): string[] {
  const { trim } = a;
  if (!trim) return [];
  const others = trim.tolerances.map((t) => `'${t.name}'`).join(", ");
  if (Number.isNaN(trim.from)) return [`no setting${which} makes up for the tolerances of ${others}`];
  const unit = unitOf(s, 0);
  const span = `${engineering(trim.from, unit)} to ${engineering(trim.to, unit)}`;
  const outside = trim.inside ? "" : "; that reaches outside the range";
  const share = engineering(trim.share, "%", 3);
  return [
    `a trimmer${which} from ${span} (${share} either way) covers the tolerances of ${others}${outside}`,
  ];
}

function unitOf(s: Sizing, i: number): string {
  return s.unknowns[i].unit;
}
