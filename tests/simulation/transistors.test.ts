// Ordinary circuits of bipolar transistors in straight lines, values at random: followers behind a ramp to their closed form, and
// some twenty of the usual stages, each of which has an answer at every instant. A trigger of two transistors without a capacitor
// has none that leads on where its characteristic folds back: it jumps there, as it does in no time with a small capacitor.
// Sources: Kirchhoff's laws of the model as the language reference states it, solved by hand; which stages are the usual ones is
// common practice, no source.
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { balance, compile, measure, simulate } from "../../src/index.js";
import { tries } from "../counts.js";
import "../seed.js";

/** A value from a to b, as many small ones as large ones, three digits. */
const value = (a: number, b: number) =>
  fc.double({ min: 0, max: 1, noNaN: true }).map((u) => Number((a * (b / a) ** u).toPrecision(3)));
const gain = fc.constantFrom(20, 50, 80, 100, 150, 200, 300, 500, 1000, 5000);

/** Numbers to take in turn, gains and shares of a decade. */
const draws = fc.record({
  shares: fc.array(fc.double({ min: 0, max: 1, noNaN: true }), { minLength: 12, maxLength: 12 }),
  gains: fc.array(gain, { minLength: 3, maxLength: 3 }),
});

interface Drawn {
  /** A value with unit from a to b. */
  readonly of: (a: number, b: number, unit: string) => string;
  readonly gain: () => string;
}

function drawn({ shares, gains }: { shares: number[]; gains: number[] }): Drawn {
  let [s, g] = [0, 0];
  return {
    of: (a, b, unit) => `${Number((a * (b / a) ** shares[s++ % shares.length]).toPrecision(2))} ${unit}`,
    gain: () => `gain ${gains[g++ % gains.length]}`,
  };
}

const ramp = ({ of }: Drawn) => `current feed plus12 -> ramp ${of(3e-4, 2e-3, "A")}
  capacitor hold ramp -> ground ${of(1e-8, 1e-7, "F")}
  switch reset ramp -> ground closed while sync above 2.5 V, on ${of(1, 50, "ohm")}`;

const stages: Readonly<Record<string, (d: Drawn) => string>> = {
  "two followers in a row": (d) => `${ramp(d)}
    transistor q plus12 -> mid base ramp, ${d.gain()}
    resistor l mid -> ground ${d.of(1e3, 1e5, "ohm")}
    transistor q2 plus12 -> out base mid, ${d.gain()}
    resistor l2 out -> ground ${d.of(100, 1e4, "ohm")}`,
  "a pair in one, without a resistor between": (d) => `${ramp(d)}
    transistor q plus12 -> mid base ramp, ${d.gain()}
    transistor q2 plus12 -> out base mid, ${d.gain()}
    resistor l2 out -> ground ${d.of(100, 1e4, "ohm")}`,
  "a pnp follower": (d) => `${ramp(d)}
    resistor l plus12 -> out ${d.of(1e3, 1e5, "ohm")}
    transistor q out -> ground base ramp, pnp, ${d.gain()}`,
  "a push-pull follower": (d) => `${ramp(d)}
    transistor qn plus12 -> out base ramp, ${d.gain()}
    transistor qp out -> minus12 base ramp, pnp, ${d.gain()}
    resistor l out -> ground ${d.of(100, 1e4, "ohm")}
    capacitor cl out -> ground ${d.of(1e-11, 1e-8, "F")}`,
  "a follower with a coupled load": (d) => `${ramp(d)}
    transistor q plus12 -> out base ramp, ${d.gain()}
    resistor l out -> ground ${d.of(100, 1e5, "ohm")}
    capacitor cc out -> far ${d.of(1e-6, 1e-4, "F")}
    resistor lf far -> ground ${d.of(100, 1e4, "ohm")}`,
  "a long-tailed pair": (d) => `${ramp(d)}
    resistor tail e -> minus12 ${d.of(2e3, 2e4, "ohm")}
    transistor q1 c1 -> e base ramp, ${d.gain()}
    transistor q2 c2 -> e base level, ${d.gain()}
    voltage vr level -> ground ${d.of(0.5, 5, "V")}
    resistor r1 plus12 -> c1 ${d.of(1e3, 2e4, "ohm")}
    resistor r2 plus12 -> c2 ${d.of(1e3, 2e4, "ohm")}`,
  "a current mirror on a capacitor": (d) => `resistor set plus12 -> d ${d.of(3e3, 3e4, "ohm")}
    transistor q1 d -> ground base d, ${d.gain()}
    transistor q2 out -> ground base d, ${d.gain()}
    capacitor hold plus12 -> out ${d.of(1e-8, 1e-7, "F")}
    switch reset plus12 -> out closed while sync above 2.5 V, on ${d.of(1, 50, "ohm")}`,
  "a pnp mirror, emptied by an npn": (d) => `resistor set d -> ground ${d.of(3e3, 3e4, "ohm")}
    transistor q1 plus12 -> d base d, pnp, ${d.gain()}
    transistor q2 plus12 -> ramp base d, pnp, ${d.gain()}
    capacitor hold ramp -> ground ${d.of(1e-8, 1e-7, "F")}
    resistor rb sync -> b ${d.of(1e3, 2e4, "ohm")}
    transistor q3 ramp -> ground base b, ${d.gain()}`,
  "a stage with its emitter on a resistor": (d) => `resistor rb sync -> b ${d.of(1e3, 1e5, "ohm")}
    resistor rb2 b -> ground ${d.of(1e3, 1e5, "ohm")}
    transistor q col -> em base b, ${d.gain()}
    resistor re em -> ground ${d.of(10, 1e3, "ohm")}
    resistor rc plus12 -> col ${d.of(300, 1e4, "ohm")}
    capacitor ct col -> ground ${d.of(1e-11, 1e-9, "F")}`,
  "a coupled stage": (d) => `capacitor cc sync -> b ${d.of(1e-8, 1e-6, "F")}
    resistor rb plus12 -> b ${d.of(1e5, 1e6, "ohm")}
    transistor q col -> ground base b, ${d.gain()}
    resistor rc plus12 -> col ${d.of(300, 1e4, "ohm")}`,
  "one on top of another": (d) => `resistor rb sync -> b ${d.of(1e3, 2e4, "ohm")}
    transistor q mid -> em base b, ${d.gain()}
    resistor re em -> ground ${d.of(100, 1e3, "ohm")}
    transistor q2 col -> mid base vb, ${d.gain()}
    voltage v vb -> ground 5 V
    resistor rc plus12 -> col ${d.of(300, 5e3, "ohm")}`,
  "a bootstrap ramp": (d) => `diode boot plus12 -> top drop 0.6 V, on 5 ohm
    resistor charge top -> ramp ${d.of(3e3, 3e4, "ohm")}
    capacitor hold ramp -> ground ${d.of(3e-9, 3e-8, "F")}
    switch reset ramp -> ground closed while sync above 2.5 V, on 10 ohm
    transistor q plus12 -> out base ramp, ${d.gain()}
    resistor tail out -> ground ${d.of(500, 1e4, "ohm")}
    capacitor lift out -> top ${d.of(1e-6, 2e-5, "F")}`,
  "a follower on a breakdown diode": (d) => `resistor z plus12 -> zr ${d.of(500, 5e3, "ohm")}
    diode zen ground -> zr drop 0.7 V, breakdown 5.6 V, on 5 ohm
    transistor q plus12 -> out base zr, ${d.gain()}
    current pull out -> ground pulse 0 A to 20 mA, wide 10 us, every 50 us, edges 100 ns
    resistor l out -> ground ${d.of(300, 5e3, "ohm")}
    capacitor co out -> ground ${d.of(1e-8, 1e-5, "F")}`,
};

const frame = (parts: string) => `title "Stage"
  supply plus12 = 12 V
  supply minus12 = -12 V
  signal sync = line sync of 625/50, 0 V to 5 V, edges 200 ns
  ${parts}
  run for 500 us`;

describe("a follower behind a ramp", () => {
  // Off: v = I t/C. On: the emitter's current is (v - drop)/(R + on) and the base takes a (gain + 1)th of it, so that the ramp
  // goes to where that is all of I, with time constant C (gain + 1) (R + on).
  it("loads it with its base, to the closed form, whatever its gain and its load", () => {
    fc.assert(
      fc.property(value(3e-4, 1e-3), value(1e-8, 2e-8), value(100, 1e5), gain, (amperes, farads, load, g) => {
        const run = simulate(
          compile(
            frame(`current feed plus12 -> ramp ${amperes} A
              capacitor hold ramp -> ground ${farads} F
              switch reset ramp -> ground closed while sync above 2.5 V, on 10 ohm
              transistor q plus12 -> out base ramp, gain ${g}
              resistor l out -> ground ${load} ohm`),
          ),
        );
        expect(run.reason).toBe("");
        expect(run.warnings).toEqual([]);
        expect(balance(run).energy).toBeLessThan(1e-9);
        // From the sync's fall through half its height to its next rise.
        const time = 64e-6 - 4.7e-6;
        const until = ((0.65 - 10 * amperes) * farads) / amperes;
        const ohms = (g + 1) * (load + 10);
        const above = amperes * ohms * -Math.expm1(-(time - until) / (ohms * farads));
        if (((0.65 + above) * load) / (load + 10) > 11.5) return;
        const reached = time > until ? 0.65 + above : 10 * amperes + (amperes * time) / farads;
        const { value: peak } = measure(run, "peak of ramp after 70 us");
        expect(Math.abs(peak - reached)).toBeLessThan(1e-6 * reached);
        const { value: out } = measure(run, "peak of out after 70 us");
        const expected = time > until ? (above * load) / (load + 10) : 0;
        expect(Math.abs(out - expected)).toBeLessThan(1e-6 * Math.max(reached, 1));
      }),
      { numRuns: tries(400) },
    );
  });
});

describe("an ordinary stage of transistors", () => {
  it.each(Object.entries(stages))("%s: runs to its end unwarned, and its energies add up", (_, text) => {
    fc.assert(
      fc.property(draws, (d) => {
        const run = simulate(compile(frame(text(drawn(d)))));
        expect(run.reason).toBe("");
        expect(run.warnings).toEqual([]);
        expect(balance(run).energy).toBeLessThan(1e-8);
      }),
      { numRuns: tries(60) },
    );
  });
});

describe("a trigger of two transistors", () => {
  const trigger = (d: Drawn, more = "") =>
    frame(`${ramp(d)}
      resistor rb ramp -> b ${d.of(1e3, 1e4, "ohm")}
      transistor q1 c1 -> e base b, ${d.gain()}
      transistor q2 c2 -> e base b2, ${d.gain()}
      resistor re e -> ground ${d.of(100, 500, "ohm")}
      resistor r1 plus12 -> c1 ${d.of(2e3, 5e3, "ohm")}
      resistor r2 plus12 -> c2 ${d.of(1e3, 2e3, "ohm")}
      resistor k1 c1 -> b2 ${d.of(5e3, 2e4, "ohm")}
      resistor k2 b2 -> ground ${d.of(5e3, 2e4, "ohm")}
      ${more}`);

  it("jumps where its characteristic folds back, and never to and fro", () => {
    let jumps = 0;
    fc.assert(
      fc.property(draws, (d) => {
        const run = simulate(compile(trigger(drawn(d))));
        expect(run.reason).toBe("");
        expect(run.warnings).toEqual([]);
        expect(balance(run).energy).toBeLessThan(1e-8);
        const { events } = run;
        for (let k = 0; k + 1 < events.length; k++) {
          const [one, next] = [events[k], events[k + 1]];
          if (one.part !== next.part || one.part === "reset" || next.time - one.time > 1e-12) continue;
          // Two modes of one part at one instant lead on; back to where it was they never lead.
          expect(next.to).not.toBe(one.from);
        }
        // Two parts at one instant: a jump.
        for (let k = 0; k + 1 < events.length; k++)
          if (events[k].part !== events[k + 1].part && events[k + 1].time === events[k].time) jumps++;
      }),
      { numRuns: tries(200) },
    );
    expect(jumps).toBeGreaterThan(10);
  });

  it("jumps when one with a picofarad at its second base does so quickly", () => {
    fc.assert(
      fc.property(draws, (d) => {
        const [sharp, soft] = ["", "capacitor small b2 -> ground 1 pF"].map((more) =>
          simulate(compile(trigger(drawn(d), more))),
        );
        expect(soft.reason).toBe("");
        // Wherever the collector of the second with it stands still for a fifth of a microsecond to both sides.
        const [a, b] = [sharp, soft].map((run) => {
          const { time, value: volts } = run.trace("c2");
          return (t: number) => {
            const k = Math.max(
              1,
              time.findIndex((one) => one >= t),
            );
            const share = (t - time[k - 1]) / (time[k] - time[k - 1] || 1);
            return volts[k - 1] + share * (volts[k] - volts[k - 1]);
          };
        });
        for (let t = 10e-6; t < 499e-6; t += 7.3e-6) {
          const near = [b(t - 0.2e-6), b(t), b(t + 0.2e-6)];
          if (Math.max(...near) - Math.min(...near) < 0.5) expect(Math.abs(a(t) - b(t))).toBeLessThan(0.1);
        }
      }),
      { numRuns: tries(60) },
    );
  });
});
