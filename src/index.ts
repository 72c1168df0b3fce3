/**
 * Rampwright: prove sync-and-ramp circuits before the iron is hot.
 *
 * `compile` a design text, `simulate` it in time, look at its traces, `verify` its checks.
 *
 * @packageDocumentation
 */
export { type Aid, DesignError, type Diagnostic, type Fix, type Severity } from "./base/diagnostic.js";
export { engineering } from "./base/quantity.js";
export type { Span } from "./base/span.js";
export { type CompileOptions, compile, type Inspection, inspect } from "./compile.js";
export type { Design } from "./design/design.js";
export type { Pictures, Pixels, Unusable } from "./design/films.js";
export { measures } from "./measures/measures.js";
export type { Measure, Window } from "./measures/window.js";
export { type Balance, balance } from "./simulation/balance.js";
export { type Clipping, clippings } from "./simulation/clipping.js";
export type { Given, SimulateOptions } from "./simulation/options.js";
export type { Loss } from "./simulation/recording.js";
export { Run, type Statistics } from "./simulation/run.js";
export { simulate } from "./simulation/simulate.js";
export type { Block, Streaming } from "./simulation/stream.js";
export type { Progress } from "./simulation/watch.js";
export type { Answer, Pair, Trial } from "./studies/answers.js";
export type { Axis, Temperatures } from "./studies/axes.js";
export type { BenchCheck, BenchOptions, Subject } from "./studies/bench.js";
export type {
  Excess,
  Fault,
  FaultCheck,
  FaultKind,
  FaultRun,
  FaultTable,
  Found,
} from "./studies/blame.js";
export {
  type CornerCheck,
  type CornerExtreme,
  type CornersOptions,
  corners,
  type Effect,
  type WorstCase,
} from "./studies/corners.js";
export { type FaultsOptions, faults } from "./studies/faults.js";
export { merge, readTrials } from "./studies/merge.js";
export type { Distribution } from "./studies/positions.js";
export type { Quantile } from "./studies/quantiles.js";
export { type Sensitivity, type SensitivityOptions, sensitivities } from "./studies/sensitivity.js";
export {
  type SizedAnswer,
  type SizedGoal,
  type SizedUnknown,
  type SizeOptions,
  type Sizing,
  type SizingStatus,
  type Sought,
  size,
} from "./studies/sizing.js";
export type { Spacing } from "./studies/spacing.js";
export {
  type PartStress,
  type Peak,
  type RatingUse,
  type Sizes,
  type Stress,
  type StressOptions,
  stress,
} from "./studies/stress.js";
export {
  type Cause,
  type Cost,
  type Extreme,
  type Spread,
  type SpreadCheck,
  summarise,
} from "./studies/summary.js";
export {
  type Aborting,
  type MissingTrial,
  type Slice,
  type Trials,
  type TrialsOptions,
  trials,
} from "./studies/trials.js";
export type { Trim, TrimEnd, TrimTolerance } from "./studies/trim.js";
export {
  type Variation,
  type VariedCheck,
  type VariedStop,
  type VariedTrace,
  type VariedValue,
  type VaryOptions,
  vary,
} from "./studies/vary.js";
export { type CheckResult, type VerifyOptions, verify } from "./studies/verify.js";
export { type CountedShare, wilson } from "./studies/wilson.js";
export {
  type Active,
  type Departure,
  type Geometry,
  type GeometryOptions,
  geometry,
} from "./tube/geometry.js";
export { png } from "./tube/png.js";
export { type Image, type RasterOptions, raster } from "./tube/raster.js";
export type { ScreenOptions } from "./tube/screen.js";
export { type Struck, Trace } from "./waveforms/trace.js";
