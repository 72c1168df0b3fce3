// What a search for modes makes of trials: of a circuit's own, where a rate decides, and of trials given by hand, where which of
// several that fit is taken must not depend on any circuit. No outside source: these are the rules that trial.ts and rivals.ts state.
import { describe, expect, it } from "vitest";
import { Assembly } from "../../src/assembly/assemble.js";
import { ratio } from "../../src/base/fraction.js";
import { atOnce } from "../../src/base/slices.js";
import type { Combination } from "../../src/equations/system.js";
import { compile } from "../../src/index.js";
import { Settler } from "../../src/stepping/modes.js";
import { rivals, searchModes } from "../../src/stepping/rivals.js";
import { type ModeTrial, ModeTrials, type Situation } from "../../src/stepping/trial.js";

/** Whether each mode of a part fits, and lasts, with all states as given and the sources as at the start. */
function fitting(
  text: string,
  part: string,
  states: readonly number[],
  signals?: { readonly u: readonly number[]; readonly du: readonly number[] },
) {
  const design = compile(text);
  const assembly = Assembly.of(design, ratio(1n, 1000n), []);
  const { system } = assembly;
  const trials = new ModeTrials(system, new Float64Array(states.length).fill(1), assembly.inputs());
  const index = design.parts.findIndex(({ name }) => name === part);
  const { modes } = system.members[index].device;
  const u = Float64Array.of(1, ...(signals?.u ?? assembly.waves.map(() => 0)));
  return modes.map((_, mode) => {
    const all = new Uint8Array(system.members.length);
    all[index] = mode;
    const du = Float64Array.of(0, ...(signals?.du ?? assembly.waves.map(() => 0)));
    const s: Situation = { x: Float64Array.from(states), u, du, crest: u };
    const trial = trials.of(all, s, undefined);
    return { fits: trial.violated.length === 0, lasts: trials.lasts(trial, s, undefined) };
  });
}

describe("a diode in series with a choke at rest, without a drop: both its modes fit at the instant", () => {
  // di/dt = V / L decides which lasts (trial.ts): from a supply alone, and from a capacitor that discharges through it.
  const choke = (volts: number) =>
    `supply v = ${volts} V\ndiode d v -> a drop 0 V\ninductor l a -> ground 1 mH`;
  it("from a supply that drives it backwards, conducting does not last", () => {
    expect(fitting(choke(-12), "d", [0])[1]).toEqual({ fits: true, lasts: false });
  });
  it("from one that drives it forwards, conducting lasts", () => {
    expect(fitting(choke(12), "d", [0])[1]).toEqual({ fits: true, lasts: true });
  });
  const charged = "capacitor c b -> ground 1 uF\ndiode d b -> a drop 0 V\ninductor l a -> ground 1 mH";
  it.each([
    [-5, false],
    [5, true],
  ])("from a capacitor at %d V", (volts, lasts) => {
    expect(fitting(charged, "d", [volts, 0])[1]).toEqual({ fits: true, lasts });
  });
  // The order of the states, and what stands behind the row of each, must not matter.
  const reversed = "inductor l a -> ground 1 mH\ndiode d b -> a drop 0 V\ncapacitor c b -> ground 1 uF";
  it.each([
    [-5, false],
    [5, true],
  ])("from a capacitor at %d V that is written last", (volts, lasts) => {
    expect(fitting(reversed, "d", [0, volts])[1]).toEqual({ fits: true, lasts });
  });
});

describe("the same between two signals", () => {
  const ends = "signal p = sine 0 V to 1 V, at 1 kHz\nsignal q = sine 0 V to 1 V, at 1 kHz\n";
  // di/dt = (u_p − u_q) / L.
  it.each([
    [10, 5, true],
    [5, 10, false],
    [-5, -10, true],
  ])("of %d V and %d V", (p, q, lasts) => {
    const text = `${ends}diode d p -> a drop 0 V\ninductor l a -> q 1 mH`;
    expect(fitting(text, "d", [0], { u: [p, q], du: [0, 0] })[1]).toEqual({ fits: true, lasts });
  });
  // A capacitor of 1 uF charged from p, of 3 uF from q: at rest at 0 V its slope is (C_p u_p' + C_q u_q') / (C_p + C_q).
  it.each([
    [4, -1, true],
    [1, -4, false],
    [-1, 4, true],
  ])("moving at %d V/s and %d V/s, in a divider of capacitors", (p, q, lasts) => {
    const text = `${ends}capacitor c p -> a 1 uF\ncapacitor e q -> a 3 uF\ncapacitor f a -> ground 1 uF
diode d a -> b drop 0 V\nresistor r b -> ground 1 kohm`;
    // What conducts at 0 V without a current lasts while the place rises; that it blocks lasts while it falls.
    const [blocks] = fitting(text, "d", [0, 0, 0], { u: [0, 0], du: [p, q] });
    expect(blocks).toEqual({ fits: true, lasts: !lasts });
  });
});

// A capacitor at 0 V behind R from q, beside one from p that has no say: dv/dt = u_q / (R C).
it.each([
  [5, -5, true],
  [-5, 5, false],
])(
  "a diode without a drop beside the second of two capacitors, from %d V and %d V: blocking lasts %s",
  (p, q, lasts) => {
    const text = `signal p = sine 0 V to 1 V, at 1 kHz\nsignal q = sine 0 V to 1 V, at 1 kHz
resistor r1 p -> x 1 kohm\ncapacitor c1 x -> ground 1 uF\nresistor r2 q -> a 1 kohm\ncapacitor c2 a -> ground 1 uF
diode d a -> b drop 0 V\nresistor r3 b -> ground 1 kohm`;
    expect(fitting(text, "d", [0, 0], { u: [p, q], du: [0, 0] })[0]).toEqual({ fits: true, lasts });
  },
);

/** A trial by hand of parts with two modes each. */
interface Given {
  readonly fits: boolean;
  readonly lasts: boolean;
  readonly shared?: boolean;
}

/** Trials by hand, by their modes as digits; no two are alike in voltage. */
function trialsOf(given: Readonly<Record<string, Given>>): ModeTrials {
  const key = (modes: Uint8Array) => modes.join("");
  const of = (modes: Uint8Array) => ({
    at: { modes, equations: { floating: new Map(), guardOf: [{ part: 0 }] } },
    x: new Float64Array(1),
    shared: given[key(modes)].shared ?? false,
    violated: given[key(modes)].fits ? [] : [0],
  });
  return {
    of,
    lasts: ({ at }: ModeTrial) => given[key(at.modes)].lasts,
    hangs: () => false,
    differs: (a: ModeTrial, b: ModeTrial) => key(a.at.modes) !== key(b.at.modes),
    edged: () => false,
    rounding: { see: () => {} },
    *ways(modes: Uint8Array) {
      for (const other of Object.keys(given)) {
        const next = Uint8Array.from(other, Number);
        const part = next.findIndex((mode, p) => mode !== modes[p]);
        if (part >= 0) yield { part, modes: next };
      }
    },
  } as unknown as ModeTrials;
}

const modes = (digits: string) => Uint8Array.from(digits, Number);
const s: Situation = {
  x: new Float64Array(1),
  u: Float64Array.of(1),
  du: new Float64Array(1),
  crest: Float64Array.of(1),
};
const good: Given = { fits: true, lasts: true };
const brief: Given = { fits: true, lasts: false };
const bad: Given = { fits: false, lasts: true };

describe("of all combinations in reach", () => {
  const found = (given: Record<string, Given>) =>
    atOnce(searchModes(trialsOf(given), modes("00"), s, undefined)).at.modes.join("");
  it("the one that fits and lasts is taken", () => {
    expect(found({ "00": bad, "01": brief, "10": good })).toBe("10");
  });
  it("the one that fits, where none lasts", () => {
    expect(found({ "00": bad, "01": brief })).toBe("01");
  });
  it("none where two fit and last that differ", () => {
    expect(() => found({ "00": bad, "01": good, "10": good })).toThrow("two-modes");
  });
});

describe("rivals of the combination that a run starts in", () => {
  const found = (other: Given) =>
    rivals(
      trialsOf({ "00": good, "01": other }),
      trialsOf({ "00": good }).of(modes("00"), s, undefined).at,
      s,
    );
  it("are those that fit and last", () => {
    expect(found(good)).toEqual([1]);
  });
  it.each([
    ["fits but does not last", brief],
    ["does not fit", bad],
    ["neither fits nor lasts", { fits: false, lasts: false }],
  ])("none that %s", (_, other) => {
    expect(found(other)).toEqual([]);
  });
});

describe("beyond a fold", () => {
  const beyond = (to: Given) => {
    const trials = trialsOf({ "00": to, "01": brief, "10": good });
    const at = (digits: string): Combination => trials.of(modes(digits), s, undefined).at;
    const settler: Settler = Object.assign(Object.create(Settler.prototype), { trials });
    return settler.beyond(at("00"), at("01"), s)?.join("");
  };
  it("lies the one that fits and lasts, where the two that lead to each other do not", () => {
    expect(beyond(brief)).toBe("10");
  });
  it("there is nothing where the one gone to lasts, or shares charge on the way", () => {
    expect(beyond(good)).toBeUndefined();
    expect(beyond({ ...brief, shared: true })).toBeUndefined();
  });
});
