// The verb `parts`: what to buy for a design, and how it is connected.
import { seriesNames } from "../../base/series.js";
import type { Design } from "../../design/design.js";
import { caseLength } from "../../design/length.js";
import { type Stress, stress } from "../../judging/stresses.js";
import { plan } from "../../simulation/options.js";
import { simulate } from "../../simulation/simulate.js";
import { joints } from "../../workshop/joints.js";
import { partsList } from "../../workshop/partslist.js";
import { readStock } from "../../workshop/stocklist.js";
import { Bar } from "../bar.js";
import { load } from "../load.js";
import { doubtsTold } from "../onerun.js";
import { choice, flag, path, whole } from "../option.js";
import { printable, tell, toldPath, tryFile, writeFile, writerOf } from "../output.js";
import { jointLines, jointsCsv, partsCsv, partsLines } from "../partstext.js";
import { status } from "../refusal.js";
import { otherValues, type SimulateAsked, simulateAsked, simulating } from "../sharedoptions.js";
import { ownTable } from "../tablefile.js";
import { designFile, verb } from "../verb.js";

export const partsVerb = verb({
  word: "parts",
  summary:
    "lists what to buy: preferred values, tolerances, ratings needed, prices; and what is joined to what",
  operand: designFile,
  options: {
    boards: whole("how many boards it is for (default: 1)", 1, 1_000_000),
    voltage: whole("per cent of a voltage rating that may be used (default: 50)", 1, 100),
    power: whole("per cent of a power rating that may be used (default: 50)", 1, 100),
    series: choice("SERIES", seriesNames, "where values are taken from (default: by the tolerance)"),
    stock: path("FILE", "prices and stock of your own, *.csv"),
    unrun: flag("run nothing: the list without the ratings that are needed"),
    joints: flag("list what is joined to what, place by place, instead"),
    out: path("FILE", "write the list to this file, *.csv, as well"),
    ...otherValues,
    ...simulating,
  },
  more:
    "What is needed comes from runs of the design as drawn and of every case. The first row of that file names their columns: " +
    "kind (needed), name, value, tolerance, voltage, power, current, price (behind it the currency), stock, order. Of the " +
    "offers that fit, one with enough in stock is taken, then the cheapest.",
  example: "parts line.ramp --boards 10 --out line-parts.csv",
  statuses: {
    0: "the list is whole",
    1: "something has no offer, or not enough of it is in stock",
    2: "the design, the stock file or an option is wrong",
    3: "a run stopped early (what there is is shown), or a file could not be written",
  },
  async run({ operands: [file], options }) {
    const loaded = await load(file, options);
    const { design } = loaded;
    const { boards, voltage, power, series, out } = options;
    if (out !== undefined) {
      writerOf(out, { ".csv": partsCsv });
      tryFile(out);
    }
    const stock = options.stock === undefined ? undefined : ownTable(options.stock, readStock);
    const joined = options.joints ? joints(design) : undefined;
    const runs =
      options.unrun || joined ? { stresses: [], whole: true } : everyStress(design, simulateAsked(options));
    const derating = { voltage: (voltage ?? 50) / 100, power: (power ?? 50) / 100 };
    const list = partsList(design, { boards, derating, series, stock, stresses: runs.stresses });
    if (out !== undefined) {
      await writeFile(out, [joined ? jointsCsv(joined) : partsCsv(list)]);
      tell(toldPath(out));
    }
    const lacking =
      stock !== undefined && list.rows.some((r) => r.bought && (!r.offer || (r.missing ?? 0) > 0));
    return { loaded, list, joined, lacking, whole: runs.whole };
  },
  text: ({ list, joined }) =>
    `${(joined ? [list.title, "", ...jointLines(joined)] : partsLines(list)).map(printable).join("\n")}\n`,
  json: ({ loaded, list }) => ({ ...list, joints: joints(loaded.design) }),
  status: ({ lacking, whole }) => {
    if (!whole) return status.stopped;
    return lacking ? status.fails : status.good;
  },
  designs: ({ loaded }) => [loaded],
});

/** The stress of each run on the parts, as drawn and in every case. */
function everyStress(design: Design, asked: SimulateAsked): { stresses: Stress[]; whole: boolean } {
  const until = plan(design, asked).until;
  const runs = [design, ...design.cases];
  const bar = new Bar("runs");
  let whole = true;
  const stresses = runs.flatMap((one, k) => {
    bar.at(k, runs.length);
    const length = k === 0 ? until : caseLength(one, until);
    const run = simulate(one, { ...asked, until: length });
    if (run.status === "stopped") whole = false;
    return doubtsTold(run) ? [stress(run)] : [];
  });
  bar.clear();
  return { stresses, whole };
}
