// Settled starts that do not exist, or are not the only one: the run is stopped before it begins, with a word and the
// part or signal concerned. Those that do exist are in the table.
import { describe, expect, it } from "vitest";
import { compile, simulate } from "../../src/index.js";

const settled = (text: string, until = "1 ms") => simulate(compile(text), { start: "settled", until });
const sync = "signal sync = pulse 0 V to 1 V, wide 2 us, every 64 us";

describe("no settled start", () => {
  it.each([
    [
      "a capacitor that only gains",
      `${sync}
       resistor load sync -> ground 1 kohm
       current feed ground -> a 1 mA
       capacitor hold a -> ground 1 uF`,
      "none-settled",
      /'hold' gains or loses in every period/,
    ],
    [
      "a coil that only gains, by the mean of the pulse",
      `${sync}
       inductor coil sync -> ground 1 mH`,
      "none-settled",
      /'coil' gains or loses in every period/,
    ],
    [
      "two capacitors that keep whatever charge they share",
      `${sync}
       capacitor upper sync -> a 1 uF
       capacitor lower a -> ground 2 uF`,
      "many-settled",
      /'(upper|lower)' keeps whatever it is given.*starts/,
    ],
    [
      "a signal that does not repeat",
      `signal once = path 0 V at 0 s, 1 V at 1 ms
       capacitor hold once -> ground 1 uF`,
      "no-period",
      /'once' does not repeat/,
    ],
    [
      "two signals whose common period is ten million times the shorter",
      `signal a = sine -1 V to 1 V, at 1 kHz
       signal b = sine -1 V to 1 V, at 1000.0001 Hz
       resistor r a -> c 1 kohm
       resistor q b -> c 1 kohm
       capacitor hold c -> ground 1 uF`,
      "no-period",
      /no common period/,
    ],
    [
      "a relaxation that its pulse is too weak to lock",
      `signal sync = pulse 0 V to 1 V, wide 2 us, every 130 us
       supply plus5 = 5 V
       resistor charge plus5 -> cap 10 kohm
       resistor kick sync -> mid 100 kohm
       capacitor couple mid -> cap 1 nF
       capacitor hold cap -> ground 10 nF
       switch turn cap -> ground closed while cap above 4 V, open 0.5 V, on 100 ohm`,
      "not-settled",
      /no periodic state was found in \d+ periods/,
    ],
  ])("%s", (_, text, code, reason) => {
    const run = settled(text);
    expect([run.status, run.code, run.reached]).toEqual(["stopped", code, 0]);
    expect(run.reason).toMatch(reason);
  });

  it.each([
    ["a path of one level", "path 2 V at 0 s"],
    ["a path that comes back to where it is", "path 2 V at 0 s, 2 V at 1 ms"],
    ["a sine of no height", "sine 2 V to 2 V, at 1 kHz"],
    ["a pulse that stays where it is", "pulse 2 V to 2 V, wide 1 us"],
    ["a path scaled to nothing", "path 0 V at 0 s, 5 V at 1 ms, scaled 0"],
  ])("what never moves hinders nothing from settling: %s", (_, wave) => {
    const run = settled(`signal still = ${wave}
      signal beat = pulse 0 V to 1 V, wide 2 us, every 10 us
      supply plus5 = 5 V
      resistor from still -> mid 1 kohm
      resistor other plus5 -> mid 3 kohm
      resistor third beat -> mid 1.5 kohm
      capacitor hold mid -> ground 1 uF`);
    expect(run.status).toBe("complete");
    // The mean of what three conductances bring (Millman), and the beat's share smoothed by 500 ohm and 1 uF.
    const level = wave.endsWith("scaled 0") ? 0 : 2;
    expect(run.trace("mid").at(10e-6)).toBeCloseTo(level / 2 + 5 / 6 + 0.2 / 3, 2);
    expect(run.trace("mid").at(0)).toBeCloseTo(run.trace("mid").at(10e-6), 12);
  });

  it("what keeps its charge may be given it, and then has a settled start", () => {
    const run = settled(`${sync}
      capacitor upper sync -> a 1 uF, starts 0.75 V
      capacitor lower a -> ground 2 uF, starts 0.25 V
      resistor load sync -> ground 1 kohm`);
    // 1 V at time zero, of which the lower has 0.25 V; the fall of 1 V takes a third of it along.
    expect(run.status).toBe("complete");
    const a = run.trace("a");
    expect(a.value[0]).toBe(0.25);
    expect(Math.abs(a.at(30e-6) - (0.25 - 1 / 3))).toBeLessThan(1e-12);
  });
});

describe("where nothing repeats, what rests is settled", () => {
  it("a divider with a capacitor across stands where Ohm's law puts it, in every case", () => {
    const text = `supply drive = 2 V
      resistor r drive -> a 1 kohm
      resistor q a -> ground 3 kohm
      capacitor hold a -> ground 1 uF
      case "off" drive is 0 V`;
    for (const [design, level] of [
      [compile(text), 1.5],
      [compile(text).cases[0], 0],
    ] as const) {
      const run = simulate(design, { start: "settled", until: "1 ms" });
      expect(run.status).toBe("complete");
      for (const value of run.trace("a").value) expect(Math.abs(value - level)).toBeLessThan(1e-12);
    }
  });

  it("a damped trap in a supply: the coil carries what the load takes, and all of the voltage is the load's", () => {
    const run = settled(`supply plus12 = 12 V
      inductor trap plus12 -> out 40 mH
      capacitor across plus12 -> out 1 uF
      resistor damp plus12 -> out 3 kohm
      resistor load out -> ground 10 ohm`);
    expect(run.status).toBe("complete");
    for (const value of run.trace("out").value) expect(Math.abs(value - 12)).toBeLessThan(1e-11);
    for (const value of run.trace("trap.current").value) expect(Math.abs(value - 1.2)).toBeLessThan(1e-12);
  });

  it("what never rests has no settled start", () => {
    const run = settled(`supply plus5 = 5 V
      resistor charge plus5 -> cap 10 kohm
      capacitor hold cap -> ground 10 nF
      switch turn cap -> ground closed while cap above 4 V, open 0.5 V, on 100 ohm`);
    expect(run.status === "stopped" && run.code).toBe("not-settled");
  });
});

describe("asked for in the text", () => {
  it("`run for 128 us, from settled` begins where it ends", () => {
    const run = simulate(
      compile(`${sync}
        capacitor couple sync -> out 1 uF
        resistor leak out -> ground 10 Mohm
        run for 128 us, from settled`),
    );
    const out = run.trace("out");
    // Mean zero behind a capacitor: the pulse stands 1 − 2/64 above it and the rest 2/64 below, sag included to 1e-5.
    expect(Math.abs(out.at(1e-6) - 62 / 64)).toBeLessThan(1e-5);
    expect(Math.abs(out.at(33e-6) + 2 / 64)).toBeLessThan(1e-5);
    expect(Math.abs(out.at(1e-6) - out.at(65e-6))).toBeLessThan(1e-9);
  });
});

describe("what a settled run repeats", () => {
  const beats = (text: string) => {
    const { recording, assembly } = settled(text, "6.4 ms");
    return recording.repetitions.map(({ from }) => Math.round((from * assembly.clock.seconds) / 64e-6));
  };

  // A reset of 60 time constants leaves e^-60 of what stood there, less than the last bit: whatever the start was off by, the
  // first period ends as every other does. Of 8 ms (1 Mohm twice and 16 nF) beside 64 us nearly all stays, so the start itself is right to the last bit.
  it.each([
    ["forgets its start", "switch reset a -> ground closed while sync above 0.5 V, on 2 ohm"],
    ["keeps most of it", "resistor leak a -> ground 1 Mohm"],
  ])("a period that %s comes again from the first on", (_, part) => {
    const text = `${sync}
      resistor charge sync -> a 1 Mohm
      capacitor hold a -> ground 16 nF
      ${part}`;
    expect(beats(text)[0]).toBeLessThanOrEqual(1);
  });
});
