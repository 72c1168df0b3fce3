/**
 * A design and what stands on the bench: captures beside its runs, which fault explains what is read, what to buy, what to set.
 *
 * In the examples `text` is that of `examples/line.ramp`, `design` what `compile` makes of it, and `run` what `simulate` makes of
 * that.
 *
 * @packageDocumentation
 */
export { type Match, type MatchOptions, match } from "./captures/beside.js";
export { verifyCaptured } from "./captures/capturedchecks.js";
export type { Estimate, EstimatedValue, Inseparable } from "./captures/estimate.js";
export { type Fit, type FitInstrument, type FitOptions, type FitValue, fit } from "./captures/fit.js";
export type { FitCapture } from "./captures/fitruns.js";
export { type LaidCheck, type LaidOver, layOver } from "./captures/layover.js";
export type { TellingApart } from "./captures/tellapart.js";
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
export { type Capture, type Channel, captured } from "./instruments/capture.js";
export type { Alignment, Held } from "./instruments/held.js";
export {
  type MeasuredColumn,
  type MeasuredParts,
  measuredColumn,
  readMeasured,
} from "./instruments/measuredparts.js";
export { type CaptureContent, type ReadOptions, readCapture } from "./instruments/readcapture.js";
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
