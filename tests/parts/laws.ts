// Laws that a circuit obeys whatever its parts are. Each takes a text and throws where it does not hold, so that a new
// kind of part passes them by one more circuit in kinds.test.ts. A text for them has `given scale = 1` as its first
// line and multiplies every voltage and current by it; nothing else depends on it.
import { expect } from "vitest";
import { balance, compile, type Run, type SimulateOptions, simulate } from "../../src/index.js";

const until = "150 us";

function run(text: string, options: SimulateOptions = {}): Run {
  const done = simulate(compile(text), { until, ...options });
  expect(done.reason).toBe("");
  return done;
}

/** The voltages of all places and the currents of all parts. */
const looked = (done: Run): string[] =>
  done.names.filter((n) => !n.endsWith(".power") && !n.endsWith(".voltage"));

const swing = (values: Float64Array): number =>
  Math.max(...values) - Math.min(...values) || Math.max(...values.map(Math.abs));

/** Kirchhoff's current law at every sample and the account of energy, as the tool promises them at default settings. */
export function accounts(text: string): void {
  const account = balance(run(text));
  expect(account.currentLaw).toBeLessThan(1e-9);
  expect(account.energy).toBeLessThan(1e-4);
  expect(account.trapezoid).toBeLessThan(1e-11);
  // Something must have flowed, else the law says nothing.
  expect(Math.abs(account.delivered) + Math.abs(account.stored)).toBeGreaterThan(0);
}

/** Every voltage and current times 2^k: the same instants, and every sample times 2^k to the last bit. */
export function scales(text: string, k: number): void {
  const plain = run(text);
  const scaled = run(
    text.replace("given scale = 1\n", `given scale = ${k < 0 ? `1 / ${2 ** -k}` : 2 ** k}\n`),
  );
  for (const name of looked(plain)) {
    const [a, b] = [plain.trace(name), scaled.trace(name)];
    expect(b.time).toEqual(a.time);
    expect(b.value).toEqual(a.value.map((v) => v * 2 ** k));
  }
}

/** Statements in reverse order, every name another: the same waveforms to 1e-12 of the swing. */
export function renamed(text: string): void {
  const plain = run(text);
  const names = new Set([...compile(text).places.slice(1), ...plain.design.parts.map((p) => p.name)]);
  const other = (name: string) => `z${[...name].reverse().join("")}q`;
  const changed = text
    .trim()
    .split("\n")
    .reverse()
    .join("\n")
    .replace(/[A-Za-z_][\w]*/g, (word) => (names.has(word) ? other(word) : word));
  const again = run(changed);
  for (const name of looked(plain)) {
    const [part, aspect] = name.split(".");
    const a = plain.trace(name);
    const b = again.trace(aspect ? `${other(part!)}.${aspect}` : other(part!));
    expect(b.time.length).toBe(a.time.length);
    const most = swing(a.value);
    a.value.forEach((v, i) => {
      expect(Math.abs(b.time[i]! - a.time[i]!)).toBeLessThanOrEqual(1e-12 * 150e-6);
      expect(Math.abs(b.value[i]! - v)).toBeLessThanOrEqual(1e-12 * most);
    });
  }
}

/**
 * Fixed steps, halved: each halving brings the places nearer to a run at a sixty-fourth of the step, in all by the
 * factor that second order asks for, or to where only rounding is left.
 */
export function converges(text: string): void {
  const steps = [800, 400, 200, 100];
  const runs = steps.map((ns) => run(text, { step: `${ns} ns` }));
  const fine = run(text, { step: "12.5 ns" });
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
