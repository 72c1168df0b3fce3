// The line output stage that ships. A yoke L between a supply V and a capacitor C: while the one end is held at ground the
// current runs straight from −I to I, then it turns round on C, v = V − V cos ωt + I Z sin ωt with Z = √(L/C), until v is zero
// again. From the period T follow I (2 I L/V + (2π − 2 atan(I Z/V))/ω = T) and the peak V + √(V² + (I Z)²); worked out here.
// Handbooks take the retrace for half a sine: V (1 + π/2 · scan/retrace), retrace π√(LC) (common practice, no source).
import { describe, expect, it } from "vitest";
import { balance, compile, type Run, simulate, verify } from "../../src/index.js";

const stage = (values: string, more = "", length = "2 ms, from settled") => `bring "shipped/output"
  supply plus12 = 12 V
  signal drive = pulse 5 V to 0 V, wide 26 us, every 64 us
  use line_output as output joins plus12, drive, collector with standing 12 V${values}
  run for ${length}
  ${more}`;

function run(text: string): Run {
  const done = simulate(compile(text));
  expect(done.reason).toBe("");
  return done;
}

describe("the line output stage", () => {
  const ideal = ", series 1 mF, choke 10 H, on 0 ohm, drop 0 V, resistance 1 uohm";
  const [V, L, C, T] = [12, 1e-3, 10e-9, 64e-6];
  const [Z, w] = [Math.sqrt(L / C), 1 / Math.sqrt(L * C)];
  let [low, high] = [0, 2];
  for (let k = 0; k < 80; k++) {
    const I = (low + high) / 2;
    if ((2 * I * L) / V + (2 * Math.PI - 2 * Math.atan((I * Z) / V)) / w < T) low = I;
    else high = I;
  }

  it("without losses makes the scan current and the pulse that the closed form says, the handbook's to 1 %", () => {
    const done = run(stage(ideal));
    const peak = Math.max(...done.trace("collector").value);
    expect(Math.abs(peak / (V + Math.hypot(V, low * Z)) - 1)).toBeLessThan(1e-3);
    const retrace = Math.PI * Math.sqrt(L * C);
    expect(Math.abs(peak / (V * (1 + ((Math.PI / 2) * (T - retrace)) / retrace)) - 1)).toBeLessThan(0.01);
    // The scan begins as the damper takes over, at −I, and ends at I with the switch.
    expect(Math.abs(done.trace("output.coil.current").at(10 * T - 1e-9) / -low - 1)).toBeLessThan(1e-3);
    expect(balance(done).energy).toBeLessThan(1e-9);
    expect(done.losses).toEqual([]);
  });

  it("its scan is straight, and bends to an S with a smaller capacitor in series", () => {
    const check =
      'check "straight" sweep error of output.coil.current each drive from 14 us to 62 us below 90 %';
    const bent = (values: string) => verify(run(stage(values, check)))[0].measured;
    expect(bent(ideal)).toBeLessThan(1e-3);
    const bow = (series: string) => {
      const done = run(stage(`${ideal.replace("1 mF", series)}`));
      const slope = (us: number) => done.trace("output.coil.voltage").at(10 * T + us * 1e-6);
      return Math.abs(slope(37) / slope(14)) - 1;
    };
    // cos of half the scan's angle at 1/√(L C_s): 23 µs either side of the middle.
    expect(bow("4.7 uF")).toBeCloseTo(1 / Math.cos(23e-6 / Math.sqrt(L * 4.7e-6)) - 1, 2);
  });

  it("with a winding on its core makes an anode's voltage: turns times the pulse above the rail", () => {
    const done = run(
      stage(
        "",
        "use anode_supply as anode joins high\ncoupling core output.primary -> anode.winding 100 %",
        "30 ms, from rest",
      ),
    );
    const peak = Math.max(...done.trace("collector").between(29e-3, 30e-3).value);
    // 10 mH to 4 H is 1 to 20 turns; the rectifier takes 10 V.
    expect(Math.abs((done.trace("high").at(30e-3) + 10) / (20 * (peak - 12)) - 1)).toBeLessThan(0.02);
  });
});
