// Laws that a circuit obeys whatever its parts are. Each takes a text and throws where it does not hold, so that a new
// kind of part passes them by one more circuit in kinds.test.ts. A text for them has `given scale = 1` as its first
// line and multiplies every voltage and current by it; nothing else depends on it.
import { expect } from "vitest";
import {
  balance,
  type CompileOptions,
  compile,
  type Run,
  type SimulateOptions,
  simulate,
} from "../../src/index.js";

const until = "150 us";

/** Kinds and measures besides the built-in ones. */
export type Words = Pick<CompileOptions, "kinds" | "measures">;

function run(text: string, words: Words = {}, options: SimulateOptions = {}): Run {
  const done = simulate(compile(text, words), { until, ...options });
  expect(done.reason).toBe("");
  return done;
}

/** The voltages of all places and the currents of all parts. */
const looked = (done: Run): string[] => done.names.filter((n) => !/\.(power|voltage|clipping)$/.test(n));

const swing = (values: Float64Array): number =>
  Math.max(...values) - Math.min(...values) || Math.max(...values.map(Math.abs));

/** The largest distance between values of one place; NaN where one is none. */
const farthest = (a: Float64Array, b: Float64Array): number =>
  a.reduce((most, v, i) => Math.max(most, Math.abs(b[i] - v)), 0);

/** Kirchhoff's current law at every sample and the account of energy, as the tool promises them at default settings. */
export function accounts(text: string, words?: Words): void {
  const account = balance(run(text, words));
  expect(account.currentLaw).toBeLessThan(1e-11);
  expect(account.energy).toBeLessThan(1e-9);
  expect(account.trapezoid).toBeLessThan(1e-11);
  // Something must have flowed, else the law says nothing.
  expect(Math.abs(account.delivered) + Math.abs(account.stored)).toBeGreaterThan(0);
}

/** Every voltage and current times 2^k: the same instants, and every sample times 2^k to the last bit. */
export function scales(text: string, k: number, words?: Words): void {
  const plain = run(text, words);
  const scaled = run(
    text.replace("given scale = 1\n", `given scale = ${k < 0 ? `1 / ${2 ** -k}` : 2 ** k}\n`),
    words,
  );
  for (const name of looked(plain)) {
    const [a, b] = [plain.trace(name), scaled.trace(name)];
    expect(b.time).toEqual(a.time);
    expect(b.value).toEqual(a.value.map((v) => v * 2 ** k));
  }
}

/** The text with every quantity of some units multiplied, by the power of `factor` that belongs to the unit. */
function multiplied(text: string, factor: string, powers: Readonly<Record<string, 1 | -1>>): string {
  const units = Object.keys(powers).sort((a, b) => b.length - a.length);
  const quantity = new RegExp(
    `(\\d[\\d.]* (${units.map((u) => u.replace("/", "\\/")).join("|")}))(?![\\w/])`,
    "g",
  );
  const changed = text.replace(
    quantity,
    (all, _, unit: string) => `${all} ${powers[unit] === 1 ? "*" : "/"} factor`,
  );
  expect(changed).not.toBe(text);
  return `given factor = ${factor}\n${changed}`;
}

/** Every impedance times 1.7 and every current divided by it: the same voltages to 1e-11 of the swing. */
export function impedances(text: string, words?: Words): void {
  const powers = { ohm: 1, kohm: 1, Mohm: 1, mH: 1, pF: -1, nF: -1, uF: -1, mA: -1 } as const;
  const [plain, other] = [text, multiplied(text, "1.7", powers)].map((t) =>
    run(t, words, { step: "100 ns" }),
  ) as [Run, Run];
  for (const place of plain.design.places.slice(1)) {
    const [a, b] = [plain.trace(place), other.trace(place)];
    expect(b.time.length).toBe(a.time.length);
    expect(farthest(a.value, b.value)).toBeLessThanOrEqual(1e-11 * swing(a.value));
  }
}

/** Every time, capacitance and inductance times eight: the same samples to the last bit, eight times later. */
export function times(text: string, words?: Words): void {
  const powers = {
    s: 1,
    ms: 1,
    us: 1,
    ns: 1,
    mH: 1,
    pF: 1,
    nF: 1,
    uF: 1,
    Hz: -1,
    kHz: -1,
    MHz: -1,
    "V/us": -1,
  } as const;
  const plain = run(text, words);
  const slow = run(multiplied(text, "8", powers), words, { until: "1200 us" });
  for (const name of looked(plain)) {
    const [a, b] = [plain.trace(name), slow.trace(name)];
    expect(b.time).toEqual(a.time.map((t) => t * 8));
    expect(b.value).toEqual(a.value);
  }
}

/** Sources together do what each does alone, added up, to 1e-11 of the swing; for circuits that never change modes. */
export function adds(text: string, words?: Words): void {
  const off = (t: string) => t.replace(/given scale = 1/, "given scale = 0");
  const more = "current more ground -> out sine -1 mA to 1 mA, at 30 kHz";
  const [both, first, second] = [`${text}${more}`, `${text}${more}, scaled 0`, `${off(text)}${more}`].map(
    (t) => run(t, words, { step: "100 ns" }),
  ) as [Run, Run, Run];
  for (const place of both.design.places.slice(1)) {
    const [sum, a, b] = [both, first, second].map((r) => r.trace(place).resample(0.73e-6)) as Float64Array[];
    const added = a.map((v, i) => v + b[i]);
    expect(farthest(sum, added)).toBeLessThanOrEqual(1e-11 * swing(sum));
  }
}

/**
 * Statements in reverse order, every name another: the same waveforms to 1e-12 of the swing, at instants that are the same
 * but for rounding. A trace may look inside a leap once more or less for that; in between it holds its 1e-6 of the swing.
 */
export function renamed(text: string, words?: Words): void {
  const plain = run(text, words);
  const names = new Set([...compile(text, words).places.slice(1), ...plain.design.parts.map((p) => p.name)]);
  const other = (name: string) => `z${[...name].reverse().join("")}q`;
  const changed = text
    .trim()
    .split("\n")
    .reverse()
    .join("\n")
    .replace(/[A-Za-z_][\w]*/g, (word) => (names.has(word) ? other(word) : word));
  const again = run(changed, words);
  for (const name of looked(plain)) {
    const [part, aspect] = name.split(".");
    const a = plain.trace(name);
    const b = again.trace(aspect ? `${other(part)}.${aspect}` : other(part));
    const most = swing(a.value);
    let alike = 0;
    for (let i = 0, j = 0; i < a.time.length; ) {
      const apart = (b.time[j] ?? Number.POSITIVE_INFINITY) - a.time[i];
      if (Math.abs(apart) <= 1e-12 * 150e-6) {
        expect(Math.abs(b.value[j++] - a.value[i++])).toBeLessThanOrEqual(1e-12 * most);
        alike++;
      } else if (apart < 0) j++;
      else {
        expect(Math.abs(b.at(a.time[i]) - a.value[i])).toBeLessThanOrEqual(1e-6 * most);
        i++;
      }
    }
    expect(alike).toBeGreaterThan(0.9 * Math.max(a.time.length, b.time.length));
  }
}

/**
 * Fixed steps, halved: each halving brings the places nearer to a run at a sixty-fourth of the step, in all by the
 * factor that second order asks for, or to where only rounding is left.
 */
export function converges(text: string, words?: Words): void {
  const steps = [800, 400, 200, 100];
  const runs = steps.map((ns) => run(text, words, { step: `${ns} ns` }));
  const fine = run(text, words, { step: "12.5 ns" });
  const places = fine.design.places.slice(1);
  const errors = runs.map((one) => {
    let worst = 0;
    for (const place of places) {
      const [a, b] = [one.trace(place), fine.trace(place)];
      const most = swing(b.value) || 1;
      // Away from the edges, which are instants of the sources and fall on every grid.
      for (let i = 1; i < 150; i++)
        worst = Math.max(worst, Math.abs(a.at((i + 0.37) * 1e-6) - b.at((i + 0.37) * 1e-6)) / most);
    }
    return worst;
  });
  const [first, , , last] = errors as [number, number, number, number];
  expect(last).toBeLessThan(1e-4);
  // Eight times finer: 64 times better for order two; half of that is demanded, since the finest run has errors too.
  if (first > 1e-9) expect(first / last).toBeGreaterThan(30);
}
