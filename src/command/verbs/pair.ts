// The verb `pair`: which measured part goes with which.
import { exactly, type Given, refuseOption } from "../../base/asked.js";
import { dimension, unitOf } from "../../base/dimension.js";
import { toNumber } from "../../base/fraction.js";
import { readQuantity, si } from "../../base/quantity.js";
import { type MeasuredColumn, type MeasuredParts, measuredColumn } from "../../instruments/measuredparts.js";
import { type Pairing, type PairingAim, sortPairs } from "../../workshop/pairing.js";
import { measuredIn } from "../measuredoption.js";
import { anyText, type OptionValues, path } from "../option.js";
import { printable, tell, toldPath, tryFile, writeFile, writerOf } from "../output.js";
import { type PairSide, pairLines, pairsCsv } from "../pairtext.js";
import { status } from "../refusal.js";
import { verb } from "../verb.js";

const options = {
  first: anyText("COLUMN", "the first parts, by number or name of their column (default: the first)"),
  second: anyText("COLUMN", "the parts that go with them (default: the second column, or the same parts)"),
  ratio: anyText("N", "what the second over the first is to be (default: 1)"),
  sum: anyText("VALUE", "what both are to be together, e.g. 30nF"),
  difference: anyText("VALUE", "what the second less the first is to be, e.g. 0nF"),
  within: anyText("LIMIT", "no pair is farther off than this, e.g. 1%, or 0.1nF of a sum or difference"),
  out: path("FILE", "write the pairs to this file, *.csv: 'spread --measured' draws from it"),
};

export const pairVerb = verb({
  word: "pair",
  summary: "sorts measured parts into pairs: which line capacitor goes with which field capacitor",
  operand: {
    name: "FILE",
    help: "measured parts, *.csv; of two files the pairs are between both",
    many: true,
  },
  options,
  more:
    "The first row of a file names its columns with their units, 'line (nF)', or each cell has its unit. A column headed 'part' says " +
    "what is written on each. As many pairs as there can be are made, and of all ways to do so the one with the least sum of squares.",
  example: "pair captures/bag.csv --first line --second field --ratio 313.3 --within 1%",
  statuses: {
    0: "every part that could have a partner has one",
    1: "parts are left whose partners are too far off",
    2: "a file or an option is wrong",
    3: "a file could not be written",
  },
  async run({ operands, options: given }) {
    const { out } = given;
    if (out !== undefined) writerOf(out, { ".csv": pairsCsv });
    if (operands.length > 2) refuseOption("FILE", "pairs are made of one bag or between two");
    const [one, two] = operands.map(measuredIn);
    if (out !== undefined) tryFile(out);
    const first = { table: one, column: measuredColumn(one, columnAsked(given.first) ?? 1) };
    const second = secondOf(one, two, columnAsked(given.second), first.column);
    const unit = first.column.unit;
    const aim = aimOf(given, unit);
    if (second && aim.ratio === undefined && second.column.unit !== unit)
      refuseOption(
        "--second",
        `${second.column.name} is in ${second.column.unit || "no unit"}, ${first.column.name} in ${unit || "no unit"}`,
      );
    const found: Pairing = sortPairs(first.column.values, second?.column.values, aim);
    const pairs = { first, second: second ?? first, lone: second === undefined, found };
    if (out !== undefined) {
      await writeFile(out, [pairsCsv(pairs)]);
      tell(toldPath(out));
    }
    return pairs;
  },
  text: (pairs) => `${pairLines(pairs).map(printable).join("\n")}\n`,
  json: ({ first, second, lone, found }) => ({
    ...found,
    first: sideOf(first),
    ...(lone ? {} : { second: sideOf(second) }),
  }),
  status: ({ lone, found: { left } }) => {
    const more = lone ? left[0].length > 1 : left[0].length > 0 && left[1].length > 0;
    return more ? status.fails : status.good;
  },
});

function sideOf({ table, column }: PairSide): object {
  return { file: table.name, labels: table.labels, ...column };
}

function columnAsked(text: string | undefined): number | string | undefined {
  return text !== undefined && /^\d+$/.test(text) ? Number(text) : text;
}

function secondOf(
  one: MeasuredParts,
  two: MeasuredParts | undefined,
  asked: number | string | undefined,
  first: MeasuredColumn,
): PairSide | undefined {
  if (two) return { table: two, column: measuredColumn(two, asked ?? 1) };
  if (asked === undefined && one.columns.length === 1) return undefined;
  const column = measuredColumn(one, asked ?? one.columns.findIndex((c) => c !== first) + 1);
  return column === first ? undefined : { table: one, column };
}

function aimOf({ ratio, sum, difference, within }: OptionValues<typeof options>, unit: string): PairingAim {
  const number = (given: Given, name: string) => toNumber(exactly(given, dimension.number, name));
  const sized = (text: string, name: string) => {
    const read = readQuantity(text);
    if (!read.ok) return refuseOption(name, read.message, read.hint);
    if (unitOf(read.value.dimension) !== unit)
      return refuseOption(name, `'${text}' is not in ${unit || "no unit"}`);
    return si(read.value);
  };
  const by = sum !== undefined || difference !== undefined;
  return {
    ratio: ratio === undefined ? undefined : number(ratio, "--ratio"),
    sum: sum === undefined ? undefined : sized(sum, "--sum"),
    difference: difference === undefined ? undefined : sized(difference, "--difference"),
    within: within === undefined ? undefined : by ? sized(within, "--within") : number(within, "--within"),
  };
}
