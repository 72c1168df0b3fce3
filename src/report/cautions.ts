// Cautions for a design that has to do with a picture tube. Better once too often: a tube among the parts is enough, whichever
// file it comes from, and so are words of the trade anywhere in the text, including comments and names. Whatever makes sync,
// video or sweeps meets a tube sooner or later.
import type { Design, PartSpec } from "../design/design.js";

const words =
  /(?<![\p{L}\p{N}])(tubes?|crt|picture|deflection|viewfinder|yoke|anode|monitor|syncs?|video|sweeps?)(?![\p{L}\p{N}])/iu;

/** True if a design has a tube or sends video, or its text mentions a tube, its surroundings, or a sweep. */
export function drivesTube(text: string, design?: Design): boolean {
  const told = ({ kind, wave }: PartSpec) => kind.beam !== undefined || wave?.shape.kind === "packed";
  return words.test(text) || (design?.parts.some(told) ?? false);
}

/** What to know before the design meets a tube. Standards are named as the IEC publishes them. */
export const cautions: readonly string[] = [
  "Anode voltage: kilovolts, and they stay long after switch-off.",
  "Implosion: the glass of the tube is evacuated; broken, it flies.",
  "X-radiation: it rises steeply if the anode voltage is raised.",
  "Live chassis and stored energy: the set's chassis can be at mains potential, and its supplies hold energy.",
  "A sweep that stops leaves a spot that burns the screen.",
  "The earth clip of a probe on a live chassis is a short.",
];

/** Whose rules govern the work. */
export const standing =
  "A computed result is not a safety assessment. See IEC 62368-1, IEC 61010-1 and IEC 61965; local codes, the " +
  "maker's service instructions and licensed people govern the work.";

/** The cautions in one line, for where there is no room. */
export const cautionLine =
  "CAUTION near a picture tube: kilovolts that stay, implosion, X-radiation, live chassis, a still spot burns the screen. " +
  "No result is a safety assessment; see IEC 62368-1, IEC 61010-1 and IEC 61965, and the maker's service instructions.";
