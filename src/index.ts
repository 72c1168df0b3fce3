/**
 * Rampwright: prove sync-and-ramp circuits before the iron is hot.
 *
 * `compile` a design text, `simulate` it in time, look at its traces, `verify` its checks.
 *
 * In the examples `text` is that of `examples/line.ramp`, the line sweep of a nest-box monitor; `design` is compiled from it and
 * `run` simulated from that; `board` is a run of `examples/board.ramp`, which has a tube. The text after `//` is what the
 * expression gives.
 *
 * @module rampwright
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
export { type Match, type MatchOptions, match } from "./captures/beside.js";
export { verifyCaptured } from "./captures/capturedchecks.js";
export type { Estimate, EstimatedValue, Inseparable } from "./captures/estimate.js";
export { type Fit, type FitInstrument, type FitOptions, type FitValue, fit } from "./captures/fit.js";
export type { FitCapture } from "./captures/fitruns.js";
export { type LaidCheck, type LaidOver, layOver } from "./captures/layover.js";
export type { TellingApart } from "./captures/tellapart.js";
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
export type { Accusation } from "./diagnosis/accused.js";
export type { SymptomColumn } from "./diagnosis/columns.js";
export type { Conflict } from "./diagnosis/conflicts.js";
export type { ExpectedReading, NextLook } from "./diagnosis/nextlook.js";
export { type Candidate, type DiagnoseOptions, type Diagnosis, diagnose } from "./diagnosis/ranking.js";
export { type Reading, readingIn, readingsIn } from "./diagnosis/readings.js";
export { readSymptoms } from "./diagnosis/readsymptoms.js";
export type { Suspect, SuspectKind } from "./diagnosis/suspects.js";
export { symptoms } from "./diagnosis/symptoms.js";
export type { SymptomRow, SymptomsOptions, SymptomTable } from "./diagnosis/symptomtable.js";
export { readingsFrom, readingsHeld, readingsOf } from "./diagnosis/tracereadings.js";
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
export { type Capture, type Channel, captured } from "./instruments/capture.js";
export type { Alignment, Held } from "./instruments/held.js";
export {
  type MeasuredColumn,
  type MeasuredParts,
  measuredColumn,
  readMeasured,
} from "./instruments/measuredparts.js";
export { type CaptureContent, type ReadOptions, readCapture } from "./instruments/readcapture.js";
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
  type Recurring,
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
export { Run } from "./reading/result.js";
export type { RunSummary, Statistics } from "./reading/runsummary.js";
export { simulateAsync } from "./simulation/asynchronous.js";
export type { Limits, SimulateOptions } from "./simulation/options.js";
export { simulate } from "./simulation/simulate.js";
export type { Block, Streaming } from "./simulation/stream.js";
export type { Progress } from "./simulation/supervision.js";
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
export type { Axis, CaseBand, Temperatures } from "./spread/tolerances.js";
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
export { type Formatted, format } from "./syntax/layout.js";
export { showDiagnostic } from "./syntax/show.js";
export { animated } from "./tube/animated.js";
export type { Exposed } from "./tube/fields.js";
export { type Film, type FilmFrame, type FilmOptions, film, strip } from "./tube/film.js";
export {
  type Active,
  type Departure,
  type Geometry,
  type GeometryOptions,
  geometry,
} from "./tube/geometry.js";
export { caption, type Darkness, type Image, png } from "./tube/image.js";
export { type RasterOptions, raster } from "./tube/raster.js";
export type { ScreenOptions } from "./tube/screen.js";
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
export { csvLines, toJson } from "./waveforms/csvjson.js";
export { type CurvePoint, type Impulses, type Struck, Trace, type TraceData } from "./waveforms/trace.js";
export type { BenchFigure } from "./workshop/benchfigure.js";
export {
  type BenchPoint,
  type BenchSheet,
  type BenchSheetOptions,
  benchSheet,
} from "./workshop/benchsheet.js";
export { type Joint, type JointEnd, joints } from "./workshop/joints.js";
export type { Meaning, WrongLook } from "./workshop/meanings.js";
export type { Derating, Need, Needs } from "./workshop/needs.js";
export { type Pairing, type PairingAim, type SortedPair, sortPairs } from "./workshop/pairing.js";
export {
  type PartsList,
  type PartsListOptions,
  type PartsProperty,
  type PartsRow,
  partsList,
} from "./workshop/partslist.js";
export type { ScopeSetting } from "./workshop/scopesetting.js";
export { readStock, type StockItem, type StockList } from "./workshop/stocklist.js";
export {
  type RangeLeft,
  type Trimmer,
  type TrimmerLight,
  type TrimmersOptions,
  type TrimmerTarget,
  trimmers,
} from "./workshop/trimmers.js";
