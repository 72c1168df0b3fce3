// What is doubtful about a run, in sentences.

import type { Assembly } from "../assembly/assemble.js";
import { engineering } from "../base/quantity.js";
import { largestOf } from "../base/search.js";
import type { Design } from "../design/design.js";
import type { Contradiction } from "../stepping/contradictions.js";
import type { Ending } from "../stepping/sink.js";
import { lostAtRest } from "./atrest.js";
import { poised } from "./poised.js";
import type { Recording } from "./recording.js";

/** What is doubtful once a march has ended. */
export function warningsOf(assembly: Assembly, recording: Recording, ending: Ending): string[] {
  const { design, clock } = assembly;
  return [
    ...ending.contradicted.map((one) => contradicted(design, one)),
    ...oscillating(design, ending),
    ...ending.unsteady.map(({ part, unit, is, as }) => {
      const { name, kind } = design.parts[part];
      const [until, where] =
        as === "reset"
          ? ["until it is first reset", "where that leaves it"]
          : [
              "beside what other parts start with",
              "as without that; give it a start of its own, or run from rest",
            ];
      return `nothing stops ${kind.word} '${name}' ${until}: it starts at ${engineering(is, unit)}, ${where}`;
    }),
    ...remarked(assembly, recording).map(({ part, words, tick }) => {
      const { name, kind } = design.parts[part];
      return `${kind.word} '${name}' ${words}, first at ${engineering(clock.time(tick), "s", 5)}`;
    }),
    ...letGo(assembly, recording),
    ...inexact(assembly),
  ];
}

function oscillating({ parts }: Design, { restless, turning }: Ending): string[] {
  if (restless.length === 0) return [];
  const named = (some: readonly number[]) => quotedNames(parts, some);
  const verb = restless.length > 1 ? "switch each other" : "switches itself";
  const where =
    turning.length > 0 ? `with everything settled and ${named(turning)} about to switch` : "at rest";
  return [`${named(restless)} ${verb} without end: there is no steady state, so the run starts ${where}`];
}

/** The names of some parts, in quotes. */
function quotedNames(parts: Design["parts"], some: readonly number[]): string {
  return some.map((part) => `'${parts[part].name}'`).join(", ");
}

/** Edges that fall on no tick. */
export function edgesRounded(assembly: Assembly): string[] {
  const { clock } = assembly;
  if (clock.exact) return [];
  const worst = largestOf(
    assembly.inputs().players.map((player) => player.worst),
    0,
  );
  // A difference that times in double precision cannot show does not matter.
  if (worst <= clock.time(clock.end) * Number.EPSILON) return [];
  return [`edges are rounded to the nearest tick, by ${engineering(worst, "s")} at most`];
}

/** Currents at rest that are nothing but rounding; finding them takes the matrices of the start. */
export function lostInRounding(assembly: Assembly, recording: Recording): string[] {
  const names = quotedNames(assembly.design.parts, lostAtRest(assembly, recording));
  if (names === "") return [];
  return [
    `what flows through ${names} at rest is not right to four digits: it is lost beside the voltages about it in double precision`,
  ];
}

/** Parts that could have started in other modes as well; finding them may take a moment. */
export function couldStartOtherwise(ending: Ending): string[] {
  const names = ending.ambiguous().map((name) => `'${name}'`);
  if (names.length === 0) return [];
  return [`at the start more than one combination of modes fits: ${names.join(", ")} could be either way`];
}

/** Parts that keep what they are in for the whole of a settled period, and could keep something else as well. */
export function couldSettleOtherwise({ parts }: Design, otherwise: readonly number[]): string[] {
  if (otherwise.length === 0) return [];
  const names = quotedNames(parts, otherwise);
  return [
    `nothing turns ${names} in a settled period, and a state with ${names} the other way is settled too`,
  ];
}

/** A settled state that the least disturbance leaves, by so many times in a period. */
export function inBalance({ system }: Assembly, leaves: { state: number; growth: number }): string {
  const { name } = system.members[system.states[leaves.state].part];
  const grows = leaves.growth.toPrecision(2);
  return `the settled start is a balance that no circuit keeps: what disturbs '${name}' the least grows ${grows} times in a period`;
}

/** A run that ends on a balance. */
export function onBalance(assembly: Assembly, recording: Recording): string[] {
  const found = poised(assembly, recording);
  if (!found) return [];
  const { name } = assembly.system.members[found.part];
  const e = engineering(found.within, "s", 2);
  return [
    `the run stands on a balance that no circuit keeps: what disturbs '${name}' the least grows 2.7 times in ${e}; give a part that departs from it a start, or let a signal begin in the run`,
  ];
}

/** Parts kept in step only by being alike; finding them sets up their steady state. */
export function inStep({ design, clock }: Assembly, ending: Ending): string[] {
  return ending.alike().map(({ parts, tick, raced }) => {
    const names = quotedNames(design.parts, parts);
    const when = engineering(clock.time(tick), "s", 5);
    if (raced)
      return `${names} could go either way at ${when}: which is first, nothing but the order of the text decides`;
    return `${names} set each other and switch at one instant, first at ${when}, since they are alike to the last bit: real ones leave step; let them differ, or start steady`;
  });
}

/** A part's remark on a mode, and the first tick of that mode. */
interface Remark {
  /** Index of the part. */
  readonly part: number;
  readonly words: string;
  readonly tick: number;
}

/**
 * One remark for each part that was in a mode with a remark, in the order of the text, with its first instant. Each stored sample
 * is visited once: repetitions say nothing new.
 */
export function remarked({ system }: Assembly, { samples }: Recording): Remark[] {
  if (!system.members.some(({ device }) => device.remark)) return [];
  const said = new Map<number, { readonly part: number; readonly words: string }[]>();
  for (const { index, modes } of system.combinations)
    for (const [part, mode] of modes.entries()) {
      const { device, fault } = system.members[part];
      const words = fault ? undefined : device.remark?.(mode);
      if (words) said.set(index, [...(said.get(index) ?? []), { part, words }]);
    }
  const first = new Map<number, Remark>();
  for (let i = 0; i < samples.count && said.size > 0; i++) {
    const mode = samples.modes[i];
    for (const { part, words } of said.get(mode) ?? [])
      if (!first.has(part)) first.set(part, { part, words, tick: samples.ticks[i] });
    said.delete(mode);
  }
  return [...first.values()].sort((a, b) => a.part - b.part);
}

/** Parts whose voltages or currents exceed double precision, as far as their rows were computed. */
function inexact({ system, design, courses }: Assembly): string[] {
  const names = (parts: Iterable<number>) =>
    quotedNames(
      design.parts,
      [...new Set(parts)].sort((a, b) => a - b),
    );
  const said: string[] = [];
  const rows = names(system.combinations.flatMap(({ equations }) => [...equations.doubts]));
  if (rows)
    said.push(
      `voltages or currents of ${rows} are not right to ten digits: their values are too far apart for double precision`,
    );
  const slow = names([...courses.doubtful].map((state) => system.states[state].part));
  if (slow)
    said.push(
      `what is slow in ${slow} is not right to eight digits: double precision does not hold it beside what is that much faster`,
    );
  const late = [...courses.late]
    .sort((a, b) => a - b)
    .map((p) => {
      const { tail, head } = system.members[p];
      return `'${design.parts[p].name}' (from '${design.places[tail]}' to '${design.places[head]}')`;
    });
  if (late.length > 0)
    said.push(
      `when ${late.join(", ")} changes over is not right to six digits: the voltage there is what is left of far larger ones, beyond double precision`,
    );
  return said;
}

/**
 * Places that an opening switch cut off from ground: their voltage is undefined, and reads as if one place of each such group
 * stood at 0 V. Places that float from the start do so by the text, and a winding floats between the pulses of its rectifier:
 * neither is reported.
 */
function letGo({ system, design, clock }: Assembly, { samples }: Recording): string[] {
  const first = new Map<number, number>();
  if (samples.count === 0 || !system.combinations.some(({ equations }) => equations.floating.size > 0))
    return [];
  const begins = system.combinations[samples.modes[0]].equations.floating;
  const seen = new Set<number>();
  for (let i = 0; i < samples.count; i++) {
    const mode = samples.modes[i];
    if (seen.has(mode)) continue;
    seen.add(mode);
    const before = system.combinations[samples.modes[Math.max(0, i - 1)]].modes;
    const opened = system.combinations[mode].modes.some(
      (m, p) => m !== before[p] && system.members[p].device.obey !== undefined,
    );
    if (!opened) continue;
    for (const place of system.combinations[mode].equations.floating.keys())
      if (!begins.has(place) && !first.has(place) && place < design.places.length)
        first.set(place, samples.ticks[i]);
  }
  const at = new Map<number, number[]>();
  for (const [place, tick] of first) at.set(tick, [...(at.get(tick) ?? []), place]);
  return [...at].map(([tick, places]) => {
    const names = places.sort((a, b) => a - b).map((p) => `'${design.places[p]}'`);
    const when = engineering(clock.time(tick), "s", 5);
    return `nothing holds ${names.join(", ")} against ground from ${when} on: the voltage there is anything, and reads as if it stood at 0 V`;
  });
}

/** A state that does not start where its part says. */
function contradicted({ parts }: Design, { part, others, unit, driven, given, is }: Contradiction): string {
  const { name, kind } = parts[part];
  const what = `${kind.word} '${name}' is given ${engineering(given, unit)} at the start but begins with ${engineering(is, unit)}`;
  if (others.length > 0) return `${what}: it cannot differ from ${quotedNames(parts, others)}`;
  if (unit === "V") return `${what}: what it is joined to holds that`;
  return `${what}: ${driven ? "a source drives that through it" : "nothing carries its current"}`;
}
