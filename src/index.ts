/**
 * Rampwright: prove sync-and-ramp circuits before the iron is hot.
 *
 * `compile` a design text, `simulate` it in time, look at its traces, `verify` its checks.
 *
 * In the examples `text` is that of `examples/line.ramp`, the line sweep of a nest-box monitor, `design` what `compile` makes of it
 * and `run` what `simulate` makes of that. What stands behind `//` is what the expression gives.
 *
 * @packageDocumentation
 */
export { instants } from "./assembly/each.js";
export type { Given } from "./base/asked.js";
export { type Aid, DesignError, type Diagnostic, type Fix, type Severity } from "./base/diagnostic.js";
export { combine, type Dimension, dimension } from "./base/dimension.js";
export { type Fraction, toNumber } from "./base/fraction.js";
export { engineering } from "./base/quantity.js";
export { type PreferredSide, preferred, type Series } from "./base/series.js";
export type { Spacing } from "./base/spacing.js";
export type { Span } from "./base/span.js";
export { type CompileOptions, compile, type Inspection, inspect } from "./compile.js";
export type { Resolver } from "./design/bring.js";
export type { Captures } from "./design/capturefiles.js";
export type {
  Amount,
  CheckSpec,
  Design,
  FindSpec,
  HeldSpec,
  MeasureSpec,
  PartSpec,
  Rating,
  ReadingSpec,
  ShowSpec,
  Spreading,
  TestpointSpec,
  UnknownSpec,
} from "./design/design.js";
export type { CheckHeading } from "./design/heading.js";
export type { Pictures, Pixels, Unusable } from "./design/videowave.js";
export { type Measurement, measure, type PeriodMeasurement } from "./judging/measuring.js";
export { withValues } from "./judging/settable.js";
export { type ShownFigure, shownFigures } from "./judging/shownfigures.js";
export {
  type PartShared,
  type PartStress,
  type Peak,
  type RailStress,
  type RatingUse,
  type Sizes,
  type Stress,
  type StressOptions,
  stress,
} from "./judging/stresses.js";
export { type CheckResult, type VerifyAllOptions, verify, verifyAll } from "./judging/verify.js";
export { type Crossing, crossings } from "./measures/crossing.js";
export { measures } from "./measures/measures.js";
export type { Limit } from "./measures/verdict.js";
export {
  type Bounds,
  coveredSpan,
  type EndValues,
  ends,
  type Measure,
  type Passing,
  type TimeSpan,
  traceBounds,
  type Window,
} from "./measures/window.js";
export type {
  BeamFigures,
  Coil,
  Control,
  Device,
  Dwell,
  FailureKind,
  Guard,
  Ideal,
  Kind,
  Level,
  LimitSide,
  Place,
  PropertyWord,
  Rail,
  Resolved,
  Said,
  Stamp,
  Steer,
} from "./parts/contract.js";
export { kinds } from "./parts/kinds.js";
export { amountOf, linear } from "./parts/making.js";
export type { Range } from "./parts/range.js";
export { type Clipping, clippings } from "./reading/atlimits.js";
export { type Balance, balance } from "./reading/balance.js";
export type { ModeEvent } from "./reading/events.js";
export type { Loss } from "./reading/recording.js";
export { Run, type Statistics } from "./reading/result.js";
export { simulateAsync } from "./simulation/asynchronous.js";
export type { Limits, SimulateOptions } from "./simulation/options.js";
export { simulate } from "./simulation/simulate.js";
export type { Block, Streaming } from "./simulation/stream.js";
export type { Progress } from "./simulation/supervision.js";
export { type Formatted, format } from "./syntax/layout.js";
export { showDiagnostic } from "./syntax/show.js";
export { csvLines, toJson } from "./waveforms/csvjson.js";
export { type CurvePoint, type Impulses, type Struck, Trace, type TraceData } from "./waveforms/trace.js";
