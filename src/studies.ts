/**
 * A design at other values: along a range, sized to its goals, at the worst and at random within its tolerances, with a fault.
 *
 * In the examples `design` is what `compile` makes of `examples/line.ramp`.
 *
 * @packageDocumentation
 */
export type {
  Excess,
  Fault,
  FaultCheck,
  FaultKind,
  FaultRun,
  FaultTable,
  Found,
} from "./faults/blame.js";
export { type FaultsOptions, faults } from "./faults/survey.js";
export type { SizedAnswer, SizingOutcome, SizingStatus } from "./sizing/outcome.js";
export type { Answer, Pair, Trial } from "./sizing/proposals.js";
export {
  type NamedSearch,
  type SizedGoal,
  type SizedUnknown,
  type SizeOptions,
  type Sizing,
  type Sought,
  size,
  type ToFind,
} from "./sizing/sizing.js";
export type { Trim, TrimEnd, TrimTolerance } from "./sizing/trim.js";
export type { Bagged, Distribution, Even, Sorted } from "./spread/distribution.js";
export type { ExperimentOptions, Subject, TemperatureRange } from "./spread/experiment.js";
export { merge, readTrials } from "./spread/merge.js";
export type { Quantile } from "./spread/quantiles.js";
export type { MeasuredStock } from "./spread/stock.js";
export {
  type Cause,
  type Cost,
  type Extreme,
  type Spread,
  type SpreadCheck,
  summarise,
} from "./spread/summary.js";
export type { Axis, Temperatures } from "./spread/tolerances.js";
export {
  type Aborting,
  type MissingTrial,
  type Slice,
  type TrialRange,
  type Trials,
  type TrialsOptions,
  trials,
} from "./spread/trials.js";
export { type CountedShare, wilson } from "./spread/wilson.js";
export {
  type CornersOptions,
  corners,
  type WorstCase,
} from "./spread/worst.js";
export type { CornerCheck, CornerExtreme, Effect } from "./spread/worstcheck.js";
export { type Sensitivity, type SensitivityOptions, sensitivities } from "./variation/sensitivity.js";
export {
  type Variation,
  type VariedCheck,
  type VariedStop,
  type VariedTrace,
  type VariedValue,
  type VaryOptions,
  vary,
} from "./variation/variation.js";
export type { VariedRange } from "./variation/variedpoints.js";
