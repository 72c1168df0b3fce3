// Cautions for a design that has to do with a picture tube. Better once too often: a tube among the parts is enough, whichever
// file it comes from, and so are the words of the trade anywhere in the text, comments and names included.
import type { Design } from "../design/design.js";

const words = /\b(tubes?|crt|picture|deflection|viewfinder|yoke|anode|monitor|field sync of)\b/iu;

/** True when a design has a tube, or its text speaks of one or of what surrounds one. */
export function drivesTube(text: string, design?: Design): boolean {
  return words.test(text) || (design?.parts.some((part) => part.kind.beam !== undefined) ?? false);
}

/** What to know before the design meets a tube. Standards named as published by the IEC. */
export const cautions: readonly string[] = [
  "Anode voltage: kilovolts, and they stay long after switch-off.",
  "Implosion: the glass of the tube is evacuated; broken, it flies.",
  "X-radiation: it rises steeply if the anode voltage is raised.",
  "Live chassis and stored energy: the set's chassis can be at mains potential, and its supplies hold energy.",
];

/** The same in a line. */
export const brief =
  "CAUTION: a picture tube means lasting kilovolts, implosion, X-radiation and live chassis; nothing here is a safety assessment.";

/** Who governs the work. */
export const standing =
  "A computed result is not a safety assessment. See IEC 62368-1, IEC 61010-1 and IEC 61965; local codes, the " +
  "maker's service instructions and licensed people govern the work.";
