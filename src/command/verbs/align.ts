// The verb `align`: the order in which to set a design's trimmers, and their targets.
import { engineering } from "../../base/quantity.js";
import { shownUnit } from "../../design/heading.js";
import { type Trimmer, trimmers } from "../../workshop/trimmers.js";
import { load } from "../load.js";
import { printable, tell } from "../output.js";
import { status } from "../refusal.js";
import { otherValues, simulateAsked, simulating } from "../sharedoptions.js";
import { designFile, verb } from "../verb.js";

export const alignVerb = verb({
  word: "align",
  summary: "says in which order to set the trimmers: where to look, what to make for, which way to turn",
  operand: designFile,
  options: { ...otherValues, ...simulating },
  more:
    "Trimmers are what the design asks to find, and potentiometers. One that moves the target of another is set before it. " +
    "A potentiometer is turned up where its tap goes from the place before the arrow to the one behind it.",
  example: "align line.ramp",
  statuses: {
    0: "every trimmer with a target has a setting in its range; the others are set by eye",
    1: "one has none, or there is no trimmer",
    2: "the design or an option is wrong",
    3: "a run stopped early (what there is is shown)",
  },
  async run({ operands: [file], options }) {
    const loaded = await load(file, options);
    const reasons = new Set<string>();
    const found = trimmers(loaded.design, {
      simulate: simulateAsked(options),
      stopped: (reason) => reasons.add(reason),
    });
    for (const reason of reasons) tell(`rampwright: a run stopped early: ${printable(reason)}`);
    return { loaded, found, whole: reasons.size === 0 };
  },
  text: ({ loaded: { design }, found }) => `${lines(design.title, found).map(printable).join("\n")}\n`,
  json: ({ loaded: { design }, found }) => ({ title: design.title, trimmers: found }),
  status: ({ found, whole }) => {
    if (!whole) return status.stopped;
    const met = found.every(({ target, setting }) => !target || setting !== undefined);
    return found.length > 0 && met ? status.good : status.fails;
  },
  designs: ({ loaded }) => [loaded],
});

function lines(title: string, found: readonly Trimmer[]): string[] {
  if (found.length === 0)
    return [title, "", "The design has no trimmer: no potentiometer, and nothing to find."];
  return [title, ...found.flatMap((one, k) => ["", ...about(one, k + 1)])];
}

function byEye({ name, light }: Trimmer): string[] {
  if (!light) return [];
  const { tube, drive, cutoff } = light;
  return [
    `   Look at the picture on ${tube}: turn ${name} until black is just dark, ${drive} at ${engineering(cutoff, "V")} there.`,
  ];
}

function about(one: Trimmer, number: number): string[] {
  const { name, target, setting, left, trim, again, besides } = one;
  const value = (x: number) => engineering(x, one.turned ? "%" : one.unit);
  const head = `${number}. ${name}, ${value(one.at)} as drawn, from ${value(one.from)} to ${value(one.to)}`;
  if (!target)
    return [head, "   No check between two bounds moves with it: it is set by eye.", ...byEye(one)];
  const shown = (x: number) => engineering(x, shownUnit(target));
  const where = target.case === "" ? "" : `, in case "${target.case}"`;
  const rows = [
    head,
    `   Look at ${target.what}${where}: ${shown(target.measured)} as drawn. Make for ${shown(target.aim)}.`,
  ];
  rows.push(`   It ${target.rises ? "rises" : "falls"} as ${name} goes up.`);
  if (setting === undefined || !left) return [...rows, "   No setting in the range meets it."];
  const turn = one.turn === "stay" ? "Leave it" : `Go ${one.turn}, to about ${value(setting)}`;
  const part = (share: number) => engineering(share, "%", 2);
  rows.push(`   ${turn}; ${part(left.below)} of the range is left below, ${part(left.above)} above.`);
  if (trim)
    rows.push(
      `   The tolerances of everything else ask for ${value(trim.from)} to ${value(trim.to)}${trim.inside ? "" : ": the range is too small"}.`,
    );
  for (const { name: check, what } of besides)
    rows.push(`   It moves "${check}" (${what}) as well, for which no trimmer is set.`);
  if (again.length > 0) rows.push(`   Then look again at ${again.join(", ")}.`);
  return rows;
}
