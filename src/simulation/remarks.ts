// What a run's modes have to say for themselves: a part that says something of a mode says it once, with the first instant
// that the mode is in force.
import { engineering } from "../base/quantity.js";
import type { Design } from "../design/design.js";
import type { Contradiction } from "../stepping/contradictions.js";
import type { Assembly } from "./assemble.js";
import type { Recording } from "./recording.js";

/** What a part says of a mode, and the first tick of that. */
interface Remark {
  /** Index of the part. */
  readonly part: number;
  readonly words: string;
  readonly tick: number;
}

/** A remark for each part that was in a mode it has one of, in the order of the text. */
export function remarked({ system }: Assembly, recording: Recording): Remark[] {
  const said = new Map<number, { readonly part: number; readonly words: string }[]>();
  for (const { index, modes } of system.combinations)
    for (const [part, mode] of modes.entries()) {
      const { device, fault } = system.members[part]!;
      const words = fault ? undefined : device.remark?.(mode);
      if (words) said.set(index, [...(said.get(index) ?? []), { part, words }]);
    }
  const first = new Map<number, Remark>();
  for (let i = 0; i < recording.count && said.size > 0; i++) {
    const mode = recording.modes[i]!;
    for (const { part, words } of said.get(mode) ?? [])
      if (!first.has(part)) first.set(part, { part, words, tick: recording.ticks[i]! });
    said.delete(mode);
  }
  return [...first.values()].sort((a, b) => a.part - b.part);
}

/** The remarks as sentences. */
export function remarks(assembly: Assembly, recording: Recording): string[] {
  return remarked(assembly, recording).map(({ part, words, tick }) => {
    const { name, kind } = assembly.design.parts[part]!;
    return `${kind.word} '${name}' ${words}, first at ${engineering(assembly.clock.time(tick), "s", 5)}`;
  });
}

/** A state that does not begin where its part says, in words. */
export function contradictionText(
  { parts }: Design,
  { part, others, unit, given, is }: Contradiction,
): string {
  const { name, kind } = parts[part]!;
  const what = `${kind.word} '${name}' is given ${engineering(given, unit)} at the start but begins with ${engineering(is, unit)}`;
  if (others.length > 0)
    return `${what}: it cannot differ from ${others.map((p) => `'${parts[p]!.name}'`).join(", ")}`;
  return `${what}: ${unit === "A" ? "nothing carries its current" : "what it is joined to holds that"}`;
}
