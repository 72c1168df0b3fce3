// The filter that keeps the colour out of the sync separator, as it ships and with other values.
import { describe, expect, it } from "vitest";
import { halfDelay, passing, reach, run } from "./looking.js";

const filter = (source: string, values = "") =>
  `bring "shipped/chroma"\nsignal in = ${source}\nuse chroma_filter as filter joins in, out${values}\n`;
const book = " with series 620 ohm, shunt 510 pF";
const off = (value: number, exact: number) => Math.abs(value / exact - 1);

describe("620 ohm and 510 pF", () => {
  it("a step is half way after RC ln 2 = 219.173 ns", () => {
    // RC charge (Millman & Taub 1965, ch. 2); the figure re-derived.
    expect(Math.abs(halfDelay(620, 510e-12) - 219.173e-9)).toBeLessThan(5e-13);
    const done = run(filter("pulse 0 V to -300 mV, wide 30 us, every 64 us, first 1 us", book), {
      until: "60 us",
    });
    const [half] = passing(done.trace("out"), -0.15, "falling");
    const [back] = passing(done.trace("out"), -0.15, "rising");
    expect(Math.abs(half - 1e-6 - 219.173e-9)).toBeLessThan(0.5e-9);
    expect(Math.abs(back - 31e-6 - 219.173e-9)).toBeLessThan(0.5e-9);
  });

  it.each([
    ["525/59.94", "315 MHz / 88", 315e6 / 88, -17.1244],
    ["625/50", "4433618.75 Hz", 4433618.75, -18.9536],
  ])(
    "at the subcarrier of %s a settled sine loses as a low-pass of one pole does",
    (_, at, hertz, decibels) => {
      // 1/√(1 + (ωRC)²) (Sedra & Smith); subcarriers: SMPTE 170M § 11.1, BT.1700. Figures re-derived.
      const rc = 620 * 510e-12;
      const gain = 1 / Math.hypot(1, 2 * Math.PI * hertz * rc);
      expect(Math.abs(20 * Math.log10(gain) - decibels)).toBeLessThan(1e-4);
      const done = run(`${filter(`sine -1 V to 1 V, at ${at}`, book)}run for 2 us, from settled`, {
        tolerance: 1e-7,
      });
      // Amplitude and phase by correlation with the carrier over whole cycles: independent of where samples fall.
      const out = done.trace("out");
      const cycles = Math.floor(2e-6 * hertz);
      const n = 4096;
      let [sine, cosine] = [0, 0];
      for (let k = 0; k < n; k++) {
        const turn = (2 * Math.PI * cycles * k) / n;
        const v = out.at((cycles * k) / n / hertz);
        sine += (2 / n) * v * Math.sin(turn);
        cosine += (2 / n) * v * Math.cos(turn);
      }
      expect(Math.abs(20 * Math.log10(Math.hypot(sine, cosine)) - decibels)).toBeLessThan(5e-4);
      expect(Math.abs(Math.atan2(-cosine, sine) - Math.atan(2 * Math.PI * hertz * rc))).toBeLessThan(1e-4);
    },
  );

  it("at the default tolerance within a thousandth of the swing", () => {
    const done = run(`${filter("sine -1 V to 1 V, at 4433618.75 Hz", book)}run for 10 us, from settled`);
    const { low, high } = reach(done.trace("out"));
    expect(Math.abs((high - low) / 2 - 10 ** (-18.9536 / 20))).toBeLessThan(2e-3);
  });
});

describe("as it ships, 1 kohm and 330 pF", () => {
  it("delays the half level of a sync edge as it leaves the camera", () => {
    // A straight edge of duration T through one pole passes half way at τ (ln 2 + ln(sinh x / x)), x = T/2τ (solved by
    // hand from the response to a ramp; it holds where that is later than T/2). 200 ns from 10 to 90 % are 250 ns of
    // straight edge (BT.1700 table 2).
    const tau = 330e-9;
    const x = 250e-9 / (2 * tau);
    const delay = tau * (Math.LN2 + Math.log(Math.sinh(x) / x));
    expect(off(delay, halfDelay(1e3, 330e-12))).toBeLessThan(0.04);
    const done = run(filter("video of 625/50, black"), { until: "1 ms" });
    const halves = passing(done.trace("out"), -0.15, "falling").filter((t) => t > 400e-6);
    expect(halves.length).toBeGreaterThan(8);
    for (const t of halves) {
      const n = Math.round(t / 64e-6);
      expect(Math.abs(t - n * 64e-6 - delay)).toBeLessThan(0.5e-9);
    }
  });

  it("takes saturated colour off the slicing level: 75 % bars reach −175 mV before it, and above −30 mV behind it", () => {
    // Red and blue of 100/0/75/0 bars: luminance 157 and 60 mV, chroma 664 and 470 mV peak to peak (ITU-R BT.471-1,
    // from memory), so both reach −175 mV; through 1/√(1 + (ωRC)²) = 1/9.25 they reach 121 and 35 mV, but the filter
    // rounds the change from red to blue, and follows the porch: no lower than blanking, less the chroma that is left.
    const done = run(filter("video of 625/50, colour bars"), {
      until: "1.68 ms",
      record: { from: "1.6 ms" },
    });
    const picture = (name: string) => reach(done.trace(name).between(1.6e-3 + 11e-6, 1.6e-3 + 61e-6));
    expect(Math.abs(picture("in").low + 0.175)).toBeLessThan(2e-3);
    expect(picture("out").low).toBeGreaterThan(-0.03);
    expect(picture("out").low).toBeLessThan(0.03);
  });
});
