// Which modes fit at an instant, on circuits small enough to be worked out by hand: diodes that share a node, charge that is
// shared, coils at rest and cut off, latches and rings, starts that could be either way. In every order of the statements.
import { describe, expect, it } from "vitest";
import { compile, type Run, type SimulateOptions, simulate } from "../../src/index.js";

const go = (text: string, options: SimulateOptions = {}): Run =>
  simulate(compile(text), { until: "1 ms", ...options });
const expectClose = (got: number, due: number) =>
  expect(Math.abs(got - due)).toBeLessThan(1e-9 * Math.max(1e-6, Math.abs(due)));

/** Some orders of the lines: as they stand, backwards, and turned by one. */
function orders(text: string): string[] {
  const lines = text.split("\n").map((line) => line.trim());
  return [lines, [...lines].reverse(), [...lines.slice(1), lines[0]]].map((order) => order.join("\n"));
}

describe("diodes at one place (ideal: no current below the drop, no voltage above it)", () => {
  const supplies = (volts: readonly number[]) => volts.map((v, k) => `supply s${k} = ${v} V`).join("\n");
  it.each([[[1, 4, 2]], [[4, 4, 4]], [[-3, -1, -2]], [[0, 5, 5]], [[9, 2, 7]], [[2, 7, 9]]])(
    "the highest of %j V wins, less a drop",
    (volts) => {
      const diodes = volts.map((_, k) => `diode d${k} s${k} -> out drop 0.6 V, on 1 mohm`).join("\n");
      const text = `${supplies(volts)}\n${diodes}\nsupply low = -20 V\nresistor r out -> low 1 kohm`;
      for (const order of orders(text)) {
        const run = go(order);
        expect([run.status, run.warnings]).toEqual(["complete", []]);
        const due = Math.max(...volts) - 0.6;
        // A milliohm carries some 30 mA.
        expect(Math.abs(run.trace("out").value[0] - due)).toBeLessThan(5e-5);
      }
    },
  );
  it.each([[[1, 4, 2]], [[-3, -1, -2]], [[9, 2, 7]]])("the lowest of %j V wins, plus a drop", (volts) => {
    const diodes = volts.map((_, k) => `diode d${k} out -> s${k} drop 0.6 V`).join("\n");
    const text = `${supplies(volts)}\n${diodes}\nsupply high = 20 V\nresistor r high -> out 1 kohm`;
    for (const order of orders(text)) {
      const run = go(order);
      expect(run.status).toBe("complete");
      expectClose(run.trace("out").value[0], Math.min(...volts) + 0.6);
    }
  });
  it.each([0.5, -0.5, 2, -2, 12, -12])("a bridge of four into 1 kohm, from %d V", (v) => {
    const text = `voltage source a -> b ${-v} V
      diode d1 a -> p drop 0.7 V
      diode d2 b -> p drop 0.7 V
      diode d3 ground -> a drop 0.7 V
      diode d4 ground -> b drop 0.7 V
      resistor load p -> ground 1 kohm`;
    for (const order of orders(text)) {
      const run = go(order);
      expect([run.status, run.warnings]).toEqual(["complete", []]);
      expectClose(run.trace("p").value[0], Math.max(0, Math.abs(v) - 1.4));
    }
  });
  it("two in series beside one of both drops: 1.4 V either way", () => {
    const text = `current feed ground -> a 1 mA
      diode d1 a -> b drop 0.7 V
      diode d2 b -> ground drop 0.7 V
      diode d3 a -> ground drop 1.4 V`;
    for (const order of orders(text)) expectClose(go(order).trace("a").value[0], 1.4);
  });
  it("a current with nowhere to go is refused with the part's name", () => {
    const run = go("current feed ground -> a 1 mA\ndiode d ground -> a drop 0.7 V");
    expect(run.status).toBe("stopped");
    expect(run.reason).toContain("'feed'");
  });
});

describe("charge that is shared (conservation of charge; what is lost is C1 C2 / (C1 + C2) / 2 times the step squared)", () => {
  it("between two capacitors", () => {
    const text = `capacitor one a -> ground 1 uF, starts 5 V
      capacitor two b -> ground 3 uF, starts 1 V
      switch join a -> b closed from 0.2 ms to 0.5 ms`;
    for (const order of orders(text)) {
      const run = go(order, { start: "rest" });
      expectClose(run.trace("b").at(0.4e-3), 2);
      expectClose(run.trace("a").at(0.9e-3), 2);
      expect(run.losses.length).toBe(1);
      expectClose(run.losses[0].energy, 6e-6);
      expectClose(run.losses[0].time, 0.2e-3);
    }
  });
  // 5 uC and 0.2 uC meet; the diode takes the third capacitor along where the first two come to stand above it.
  it.each([
    ["along where it comes to conduct", 0.2, (5 + 0.2 + 4 * 0.2) / 10],
    ["not where it stays off", 9, 5.2 / 6],
  ])("a diode takes a third one %s", (_, held, due) => {
    const text = `capacitor one a -> ground 1 uF, starts 5 V
      capacitor two b -> ground 5 uF, starts 0.04 V
      capacitor three c -> ground 4 uF, starts ${held} V
      diode on b -> c drop 0 V
      switch join a -> b closed from 0.2 ms to 0.5 ms`;
    for (const order of orders(text)) {
      const run = go(order, { start: "rest" });
      expect(run.status).toBe("complete");
      expectClose(run.trace("b").at(0.4e-3), due);
      expectClose(run.trace("c").at(0.4e-3), held === 9 ? 9 : due);
      const before = (25 + 5 * 0.04 ** 2 + 4 * held ** 2) / 2;
      const after = ((held === 9 ? 6 : 10) * due ** 2 + (held === 9 ? 4 * 81 : 0)) / 2;
      const lost = run.losses.reduce((sum, { energy }) => sum + energy, 0);
      expectClose(lost, (before - after) * 1e-6);
    }
  });
  it("into a supply: the step squared times half the capacitance", () => {
    const run = go(
      `supply p = 5 V
       capacitor c a -> ground 2 uF
       switch join p -> a closed from 0.2 ms to 0.5 ms`,
      { start: "rest" },
    );
    expectClose(run.trace("a").at(0.9e-3), 5);
    expectClose(
      run.losses.reduce((sum, { energy }) => sum + energy, 0),
      25e-6,
    );
  });
});

describe("coils (v = L di/dt)", () => {
  it("cut off: refused with its name, at the instant", () => {
    const run = go(
      `supply p = 5 V
       switch join p -> a closed from 0 s to 0.5 ms
       inductor coil a -> ground 1 mH`,
      { start: "rest" },
    );
    expect([run.status, run.code]).toEqual(["stopped", "cut-off"]);
    expect(run.reason).toContain("'coil'");
    expectClose(run.reached, 0.5e-3);
  });
  it("at rest they are cut off without a word", () => {
    const run = go(
      `supply p = 0 V
       switch join p -> a closed from 0 s to 0.5 ms
       inductor coil a -> ground 1 mH`,
      { start: "rest" },
    );
    expect([run.status, run.warnings]).toEqual(["complete", []]);
  });
  it("a freewheel diode takes their current over, which then falls by its drop over L", () => {
    const text = `supply p = 5 V
       switch join p -> a closed from 0 s to 0.5 ms
       inductor coil a -> ground 10 mH
       diode free ground -> a drop 1 V`;
    for (const order of orders(text)) {
      const run = go(order, { start: "rest" });
      expect([run.status, run.losses]).toEqual(["complete", []]);
      expectClose(run.trace("coil.current").at(0.5e-3), 0.25);
      expectClose(run.trace("coil.current").at(1e-3), 0.2);
      expectClose(run.trace("a").at(0.75e-3), -1);
    }
  });
  it.each([10, -10])("at rest behind a diode a source stands at zero and goes to %d V", (volts) => {
    const run = go(
      `signal drive = path 0 V at 0 s, ${volts} V at 1 ms
       diode d drive -> a drop 0 V
       inductor coil a -> ground 1 H`,
      { start: "rest" },
    );
    // A ramp of k V/s from 0: i = k t^2 / 2 / L, or none at all.
    expect([run.status, run.warnings]).toEqual(["complete", []]);
    expectClose(run.trace("coil.current").at(1e-3), volts < 0 ? 0 : 5e-3);
    expectClose(run.trace("a").at(0.5e-3), volts < 0 ? 0 : 5);
  });
});

describe("a latch, a ring", () => {
  const latch = (one: string, two: string, a: string, b: string) => `resistor r${a} v -> ${a} 1 kohm
    resistor r${b} v -> ${b} 1 kohm
    switch ${one} ${a} -> ground closed while ${b} above 2.5 V, on 10 ohm
    switch ${two} ${b} -> ground closed while ${a} above 2.5 V, on 10 ohm`;
  it("of two switches goes to one of its two rests, and says that it could be either way", () => {
    for (const order of orders(`supply v = 5 V\n${latch("one", "two", "a", "b")}`)) {
      const run = go(order);
      expect(run.status).toBe("complete");
      const [low, high] = ["a", "b"].map((place) => run.trace(place).value[0]).sort((x, y) => x - y);
      expectClose(low, 5 / 101);
      expectClose(high, 5);
      expect(run.warnings.join()).toMatch(/'(one|two)', '(one|two)' could be either way/);
    }
  });
  it("two of them side by side: all four are named", () => {
    const run = go(`supply v = 5 V\n${latch("one", "two", "a", "b")}\n${latch("three", "four", "c", "d")}`);
    expect(run.status).toBe("complete");
    for (const name of ["one", "two", "three", "four"]) expect(run.warnings.join()).toContain(`'${name}'`);
  });
  it("that something else decides is not in doubt", () => {
    const run = go(
      `supply v = 5 V\n${latch("one", "two", "a", "b")}\nswitch set a -> ground closed from 0 s to 0.5 ms`,
    );
    expect([run.status, run.warnings]).toEqual(["complete", []]);
    expectClose(run.trace("b").at(0.9e-3), 5);
    expectClose(run.trace("a").at(0.9e-3), 5 / 101);
  });
  it.each([3, 5, 7])(
    "an odd ring of %i inverters has no rest: all of it is named, and nothing else",
    (count) => {
      const ring = Array.from(
        { length: count },
        (_, k) => `inverter i${k} n${k} -> n${(k + 1) % count} rail v`,
      );
      const text = `supply v = 5 V
      switch innocent v -> w closed while v above 1 V, on 1 ohm
      resistor load w -> ground 1 kohm
      resistor r n0 -> ground 1 kohm
      inverter other w -> x rail v
      resistor rx x -> ground 1 kohm\n${ring.join("\n")}`;
      const run = go(text);
      expect([run.status, run.code]).toEqual(["stopped", "chatter"]);
      for (let k = 0; k < count; k++) expect(run.reason).toContain(`'i${k}'`);
      for (const name of ["innocent", "other"]) expect(run.reason).not.toContain(`'${name}'`);
    },
  );
  it("a chain of sixty inverters, each set by the one before it, comes to rest", () => {
    const chain = Array.from({ length: 60 }, (_, k) => `inverter i${k} n${k} -> n${k + 1} rail v`);
    const run =
      go(`supply v = 5 V\nsignal n0 = pulse 0 V to 5 V, wide 0.1 ms, first 0.5 ms\n${chain.join("\n")}
      resistor r n60 -> ground 1 kohm`);
    expect([run.status, run.warnings]).toEqual(["complete", []]);
    expect(run.trace("n60").at(0.55e-3) > 2.5).toBe(true);
    expect(run.trace("n60").at(0.7e-3) < 2.5).toBe(true);
  });
});

describe("a start that could be either way", () => {
  // Two equal currents in series, each in need of 1 V: any voltage between them fits that leaves both enough.
  const pair = (k: number, lower = "1 mA") => `current up${k} p -> m${k} 1 mA, headroom 1 V
    current down${k} m${k} -> ground ${lower}, headroom 1 V`;
  it("names both, and no part that is in no doubt", () => {
    const text = `supply p = 12 V\n${pair(1)}
      diode d p -> x drop 0.7 V
      resistor r x -> ground 1 kohm`;
    for (const order of orders(text)) {
      const warned = go(order).warnings.join();
      for (const name of ["up1", "down1"]) expect(warned).toContain(`'${name}'`);
      expect(warned).not.toContain("'d'");
    }
  });
  it("of three pairs one at least", () => {
    expect(go(`supply p = 12 V\n${[1, 2, 3].map((k) => pair(k)).join("\n")}`).warnings.join()).toMatch(
      /'up(\d)', 'down\1' could be either way/,
    );
  });
  it("is not said where one is the stronger: the place is pulled down", () => {
    const run = go(`supply p = 12 V\n${pair(1, "2 mA")}`);
    expect(run.warnings).toEqual([]);
    // The stronger one is starved: it stands on its last volt.
    expectClose(run.trace("m1").value[0], 1);
  });
  it("is not said of what floats as a whole: a source behind a bridge that blocks", () => {
    const run = go(
      `voltage source a -> b 1 V
       diode d1 a -> p drop 0.7 V
       diode d2 b -> p drop 0.7 V
       diode d3 ground -> a drop 0.7 V
       diode d4 ground -> b drop 0.7 V
       resistor load p -> ground 1 kohm`,
    );
    expect([run.status, run.warnings]).toEqual(["complete", []]);
    expectClose(run.trace("p").value[0], 0);
    expectClose(Math.abs(run.trace("a").value[0] - run.trace("b").value[0]), 1);
  });
  it("is not said of a diode just at its drop: either way the voltages are the same", () => {
    const run = go(
      `supply p = 0.7 V
       diode d p -> x drop 0.7 V
       resistor r x -> ground 1 kohm`,
    );
    expect([run.status, run.warnings]).toEqual(["complete", []]);
    expectClose(run.trace("x").value[0], 0);
  });
  // At rest a choke's current is nothing and may begin; the diode would stand at its drop, or hold the whole voltage.
  it.each([
    [
      "a capacitor",
      "capacitor c c -> ground 1 uF, starts 5 V\nresistor r c -> ground 1 kohm\ninductor l x -> c 1 mH",
    ],
    [
      "a capacitor behind a coil",
      "capacitor c c -> ground 1 uF, starts 5 V\ninductor l x -> y 1 mH\nresistor r y -> c 1 ohm",
    ],
    ["a source", "voltage s c -> ground 5 V\ninductor l x -> c 1 mH"],
    [
      "the last of three sources",
      "voltage s c -> ground 5 V\nvoltage t t -> c 1 V\nresistor r t -> ground 1 kohm\ninductor l x -> c 1 mH",
    ],
    [
      "the slope of a source",
      "voltage s s -> ground path 0 V at 0 ms, 5 V at 1 ms\ncapacitor c s -> c 1 uF\nresistor r c -> ground 10 ohm\ninductor l x -> c 1 mH",
    ],
  ])(
    "is not said of a diode that blocks beside a choke at rest: its current would next flow backwards, driven by %s",
    (_, text) => {
      for (const order of orders(`diode d ground -> x drop 0 V\n${text}`)) {
        const run = go(order);
        expect([run.status, run.warnings]).toEqual(["complete", []]);
        expectClose(run.trace("d.current").value[0], 0);
        expectClose(run.trace("x").value[0], run.trace("c").value[0]);
      }
    },
  );
});
