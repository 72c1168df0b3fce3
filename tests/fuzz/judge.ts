// What must hold of any text and of any circuit: mistakes are diagnostics and nothing else escapes, the layout keeps the meaning,
// the same input gives the same bits, a complete run holds numbers only and its account balances.
// Take a text; give what is wrong with it, or nothing. No outside source: these are the promises of the library.
import { isDeepStrictEqual } from "node:util";
import {
  balance,
  type Design,
  DesignError,
  type Diagnostic,
  inspect,
  type Run,
  simulate,
  type Trace,
  verify,
} from "../../src/index.js";
import { format } from "../../src/syntax/layout.js";
import type { Circuit } from "./circuits.js";

/** What came of an input. */
export interface Judged {
  /** What is wrong; none where all is as it must be. */
  readonly faults: readonly string[];
  /** How far it came: refused, a design, a run that stopped (with its code), a complete run. */
  readonly end: string;
  /** Computing that reading, the run and its verdicts took, s; drawing every trace of a quick ring is not in it. */
  readonly seconds: number;
}

/** What came of a text, and the design that it is. */
export interface JudgedText extends Judged {
  readonly design: Design | undefined;
}

/** Seconds of computing at a look at the clock, s. */
let looked = { at: Number.NEGATIVE_INFINITY, computing: 0 };

/** Seconds of computing so far, to a tenth: asking for them costs as much as a small text does, and is done ten times a second. */
function clock(): number {
  const now = performance.now() / 1000;
  if (now - looked.at > 0.1) {
    const { user, system } = process.cpuUsage();
    looked = { at: now, computing: (user + system) / 1e6 };
  }
  return looked.computing + (now - looked.at);
}

/** Seconds of computing since then. */
const since = (begun: number) => Math.max(0, clock() - begun);

type Resolve = (path: string) => string | undefined;

/** What is not whole about a diagnostic. */
function unsound(d: Diagnostic, lines: readonly string[]): string | undefined {
  const slip = /undefined|NaN|\[object/.exec(d.message)?.[0];
  if (!/^[a-z][a-z0-9]*(-[a-z0-9]+)*$/.test(d.code)) return `code ${d.code}`;
  // A word of the text itself is none of ours.
  if (slip && !lines.some((line) => line.includes(slip))) return `message ${d.message}`;
  if (d.message.length < 9 || /[\r\n]/.test(d.message)) return `message ${d.message}`;
  for (const span of [d.span, ...(d.fix ? [d.fix.span] : []), ...(d.related ?? []).map((r) => r.span)]) {
    const { line, column, length } = span;
    if (![line, column, length].every(Number.isInteger) || length < 0) return `${d.code}: no place`;
    if (line < 1 || line > lines.length || column < 1 || column > lines[line - 1].length + 1)
      return `${d.code}: place ${line}:${column} lies outside`;
  }
  return undefined;
}

/** Everything a design holds but its places in the text. */
export function bare(value: unknown, met = new Map<object, unknown>()): unknown {
  if (typeof value === "function") return undefined;
  if (typeof value !== "object" || value === null) return value;
  if (met.has(value)) return met.get(value);
  const entries =
    value instanceof Map || value instanceof Set
      ? [...value].map((one, i) => [i, one])
      : Object.entries(value);
  const made: Record<string, unknown> = {};
  met.set(value, made);
  for (const [key, one] of entries) if (key !== "span") made[key] = bare(one, met);
  return made;
}

/** What the layout changes of a text that is a design; nothing where it keeps all. */
export function changed(text: string, design: Design, resolve?: Resolve): string | undefined {
  const laid = format(text).text;
  if (laid === undefined) return "a design cannot be laid out";
  const after = inspect(laid, { resolve }).design;
  if (!after) return "laid out it is no design";
  if (!isDeepStrictEqual(bare(after), bare(design))) return "laid out it means something else";
  return format(laid).text === laid ? undefined : "laid out again it changes";
}

/** A text: `inspect` never throws, its diagnostics are whole, the layout keeps what is a design. */
export function judgeText(text: string, resolve?: Resolve): JudgedText {
  const faults: string[] = [];
  const begun = clock();
  const { diagnostics, design } = inspect(text, { resolve });
  const seconds = since(begun);
  const lines = text.split(/\r\n|\r|\n/);
  for (const d of diagnostics) {
    const wrong = unsound(d, lines);
    if (wrong) faults.push(wrong);
  }
  if (diagnostics.length > 101) faults.push(`${diagnostics.length} diagnostics`);
  if ((design === undefined) !== diagnostics.some((d) => d.severity === "error"))
    faults.push("a design and an error, or neither");
  const again = inspect(text, { resolve }).diagnostics;
  if (!isDeepStrictEqual(diagnostics, again)) faults.push("other diagnostics the second time");
  const other = design && changed(text, design, resolve);
  if (other) faults.push(other);
  return { faults, end: design ? "design" : "refused", seconds, design };
}

// Few enough that no input takes long, and enough that the usual run ends.
const limits = { steps: 3000, bytes: 2e7 };

/** A design: it runs to an end of which something is said, twice alike, in numbers, and in balance. */
export function judgeDesign(design: Design, until?: string, start?: Circuit["start"]): Judged {
  const options = { ...(until && { until }), limits, ...(start && { start }) };
  let run: Run;
  const begun = clock();
  try {
    run = simulate(design, options);
  } catch (error) {
    if (error instanceof DesignError)
      return { faults: [], end: `refused ${error.diagnostics[0].code}`, seconds: since(begun) };
    throw error;
  }
  // Before anything is drawn: that fills in states.
  const marched = recorded(run);
  const results = verify(run);
  const seconds = since(begun);
  const faults: string[] = [];
  if ((run.reason === "") !== (run.status === "complete"))
    faults.push(`status ${run.status}: '${run.reason}'`);
  if (run.status === "stopped" && !/^[a-z-]+$/.test(run.code)) faults.push(`code '${run.code}'`);
  if (/undefined|NaN|Infinity|\[object/.test([run.reason, ...run.warnings].join("\n")))
    faults.push(`words: ${[run.reason, ...run.warnings].join("; ")}`);
  const second = simulate(design, options);
  if (marched !== recorded(second)) faults.push("other bits the second time");
  for (const one of [run, second]) Object.defineProperty(one.recording, "room", { value: room });
  if (traits(run) !== traits(second)) faults.push("other traces the second time");
  faults.push(...strange(run));
  for (const result of results)
    if (Number.isNaN(result.measured) && result.pass) faults.push(`${result.name} passes with NaN`);
  if (run.status === "complete") faults.push(...unbalanced(run));
  return { faults, end: run.status === "complete" ? "complete" : `stopped ${run.code}`, seconds };
}

/** Every sample that a march has left; a number that is none shows as such. */
function recorded({ recording, assembly }: Run): string {
  const { samples } = recording;
  const states = new Float64Array(assembly.system.states.length);
  const all: unknown[] = [];
  for (let i = 0; i < samples.count; i++) {
    samples.read(i, states);
    all.push(samples.ticks[i], samples.modes[i], samples.given[i], ...states);
  }
  return `${all.join()} ${JSON.stringify(recording.repetitions)}`;
}

/** What is told of a run, and one trace of it: alike samples are drawn alike, which one trace tries. */
function traits(run: Run): string {
  const { recording } = run;
  const { parts } = run.design;
  const crossed = parts.filter(({ kind }) => kind.couples === undefined);
  const { name } = crossed[crossed.length >> 1];
  const drawn = recording.count > 0 ? traced(run, `${name}.current`).flatMap(({ value }) => [...value]) : [];
  return JSON.stringify([run.status, run.code, run.reason, run.reached, run.statistics, run.warnings, drawn]);
}

/** Bytes of the longest trace that is drawn whole: some four thousand samples, ten times an ordinary one. */
const room = 1e5;
/** Of a longer one, where looks are taken, as shares of the run: what is no number in a march stays none to its end. */
const shares = [0, 0.4, 1];

/** A trace whole, or, where it rings on and on, as much as there is room for at each of some places. */
function traced(run: Run, name: string): Trace[] {
  const whole = within(() => run.draw([name]));
  if (whole) return whole;
  return shares.flatMap((share) => {
    for (let length = run.reached / 16; length > run.reached * 1e-9; length /= 16) {
      const from = share * (run.reached - length);
      const some = within(() => run.stretch([name], from, from + length));
      if (some) return some;
    }
    return [];
  });
}

/** Traces, unless they are too long. */
function within(draw: () => Trace[]): Trace[] | undefined {
  try {
    return draw();
  } catch (error) {
    if (error instanceof DesignError && error.diagnostics[0].code === "waveform-too-long") return undefined;
    throw error;
  }
}

/** What a march holds, and traces that hold, what is no finite number, and traces that go back in time. */
function strange(run: Run): string[] {
  const { recording, assembly, design } = run;
  if (recording.count === 0) return [];
  const found: string[] = [];
  const states = new Float64Array(assembly.system.states.length);
  for (let i = 0; i < recording.samples.count; i++) {
    recording.samples.read(i, states);
    if (!states.every(Number.isFinite)) found.push(`sample ${i} is not finite`);
  }
  const names = [
    ...design.places.slice(1),
    ...design.parts
      .filter(({ kind }) => kind.couples === undefined)
      .flatMap(({ name }) => [`${name}.current`, `${name}.power`]),
  ];
  for (const { name, time, value } of names.flatMap((one) => traced(run, one))) {
    if (!value.every(Number.isFinite)) found.push(`${name} is not finite`);
    for (let i = 1; i < time.length; i++)
      if (!(time[i] >= time[i - 1])) {
        found.push(`${name} goes back in time`);
        break;
      }
  }
  return found;
}

/** What a run without a doubt owes: currents that meet, energies that add up. */
function unbalanced(run: Run): string[] {
  const account = balance(run);
  const found: string[] = [];
  for (const [name, number] of Object.entries(account))
    if (!Number.isFinite(number)) found.push(`balance: ${name} is ${number}`);
  if (run.warnings.length > 0) return found;
  if (account.currentLaw > 1e-9) found.push(`balance: currents lack ${account.currentLaw.toExponential(1)}`);
  if (account.energy > 1e-6) found.push(`balance: energy lacks ${account.energy.toExponential(1)}`);
  return found;
}

/** A text, and, where it is to be run and is a design that is not too long, a run of it. */
export function judgeDesignText(text: string, run: boolean): Judged {
  const judged = judgeText(text);
  return run && judged.design && text.length <= 4000
    ? both(judged, judgeDesign(judged.design, "200 us"))
    : judged;
}

/** A circuit: its text, then its run. */
export function judgeCircuit({ text, until, start }: Circuit): Judged {
  const judged = judgeText(text);
  return judged.design ? both(judged, judgeDesign(judged.design, until, start)) : judged;
}

const both = (text: Judged, run: Judged): Judged => ({
  faults: [...text.faults, ...run.faults],
  end: run.end,
  seconds: text.seconds + run.seconds,
});
