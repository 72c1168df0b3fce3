// The carrier of video: its ratio to the lines, bursts (place, length, size, phase, lines without), the sequence of
// fields, the phase of carrier to sync, and the colours of the bars. Figures from shared/video-timing.json.
import { describe, expect, test } from "vitest";
import { Fraction, ratio, toNumber } from "../../src/base/fraction.js";
import { colourBars } from "../../src/signals/levels.js";
import { decidable } from "../../src/signals/packeddecisions.js";
import { rates } from "../../src/signals/sync.js";
import { video } from "../../src/signals/video.js";
import { book, number, Scope } from "./scope.js";

const micro = (x: string | number) => new Fraction(x).div(1_000_000);

describe.each(["525/59.94", "625/50"] as const)("%s", (system) => {
  const said = book.systems[system];
  const is625 = system === "625/50";
  const { line, subcarrier, linesAFrame } = rates(system);
  const f = subcarrier!;
  const wave = video({ system, pattern: { kind: "black" }, setup: "0", colour: true });
  const scope = new Scope(wave);
  const lines = linesAFrame;
  const fields = Number(said.fieldsInColour.value);
  const half = number(said.levels_mV.burstPeakToPeak) / 2000;
  const burstFrom = is625 ? micro(said.burstAfterSync_us.value) : ratio(19).div(f);
  const cycles = Number(said.burst_cycles.value);
  /** The burst of a line (from 0, through all frames), over its middle cycles. */
  const burst = (n: number) => scope.carrier(f, line.mul(n).add(burstFrom).add(ratio(2).div(f)), cycles - 4);
  // Through the sequence and a frame more.
  const all = Array.from({ length: (fields / 2 + 1) * lines }, (_, n) => burst(n));

  test("cycles a line, and the fields after which the wave repeats", () => {
    expect(f.mul(line).equals(new Fraction(said.subcarrierOverLine.value))).toBe(true);
    if (wave.shape.kind !== "packed") throw new Error("not packed");
    expect(wave.shape.period.div(rates(system).field).valueOf()).toBe(fields);
    expect(wave.shape.period.mul(f).d).toBe(1n);
  });

  test("lines without a burst", () => {
    const frames: string[] = said.noBurst.value.split(" ");
    all.forEach(({ size }, n) => {
      const inFrame = (n % lines) + 1;
      const ranges = frames[Math.floor(n / lines) % frames.length]
        .split(",")
        .map((r) => r.split("-").map(Number));
      const none = ranges.some(([from, to]) => inFrame >= from && inFrame <= to);
      // What is seen in a broad pulse is the rounding of the times at which it is read.
      if (none) expect(size).toBeLessThan(1e-5);
      else expect(size).toBeCloseTo(half, 5);
    });
  });

  test("phases of the bursts", () => {
    const degrees = Number(said.burst_degrees.value);
    let first: number | undefined;
    all.forEach((b, n) => {
      if (b.size < half / 2) return;
      // In 625 lines the sign changes from line to line; odd lines of the first two fields have 135°
      // (ITU-R BT.470-6, table 2 and figure 5).
      const wanted = is625 && n % 2 === 1 ? 360 - degrees : degrees;
      expect(b.degrees).toBeCloseTo(wanted, 2);
      first ??= n + 1;
    });
    // First burst of a frame: line 10, or line 7 (SMPTE 170M figure 7; BT.1700 figure 5).
    expect(first).toBe(is625 ? 7 : 10);
  });

  if (is625)
    test("every field begins and ends with a burst of one phase: that is what the lines without are for", () => {
      const bursts = all.map((b, n) => ({ ...b, n })).filter((b) => b.size > half / 2);
      const edges = bursts.filter((b, i) => b.n - (bursts[i - 1]?.n ?? b.n - 10) > 1);
      const ends = bursts.filter((b, i) => (bursts[i + 1]?.n ?? b.n + 10) - b.n > 1);
      // First lines of the four fields: a television maker's signal monitor manual gives 7, 319 and 6.
      expect(edges.slice(0, 4).map((b) => (b.n % lines) + 1)).toEqual([7, 319, 6, 320]);
      for (const b of [...edges, ...ends]) expect(b.degrees).toBeCloseTo(135, 2);
    });

  test("burst: middle and length, from the area of its envelope", () => {
    const per = 400;
    const step = f.mul(per).inverse();
    for (const n of [40, 41, 42, 400]) {
      const { degrees } = all[n];
      const from = line.mul(n).add(burstFrom).sub(micro("0.4"));
      let [area, moment] = [0, 0];
      for (let k = 0; k < per * (cycles + 4); k++) {
        const t = from.add(step.mul(k));
        const turns = toNumber(t.mul(f).mod(1)) * 2 * Math.PI + (degrees * Math.PI) / 180;
        // Demodulated: twice wave times reference has the envelope as its mean.
        const envelope = (2 * scope.at(t) * Math.sin(turns)) / half;
        area += envelope / per;
        moment += (envelope * k) / per ** 2;
      }
      // Between its half-amplitude points; tolerance of the standards ± 1 cycle, of this measure 1/50.
      expect(Math.abs(area - cycles)).toBeLessThan(0.02);
      const middle = moment / area - toNumber(micro("0.4").mul(f)) - cycles / 2;
      expect(Math.abs(middle)).toBeLessThan(0.02);
    }
  });

  test("burst: half cycles that exceed half of its amplitude", () => {
    for (const n of [40, 41, 200]) {
      let count = 0;
      let inside = false;
      let [begins, ends] = [0, 0];
      for (let k = 0; k < 4000; k++) {
        const t = 4.9e-6 + k * 1e-9;
        const over = Math.abs(scope.at(toNumber(line) * n + t)) > half / 2;
        if (over && !inside) {
          count++;
          if (count === 1) begins = t;
        }
        if (inside && !over) ends = t;
        inside = over;
      }
      expect(Math.abs(count / 2 - cycles)).toBeLessThanOrEqual(0.5);
      const cycle = 1 / toNumber(f);
      const nominal = toNumber(burstFrom);
      expect(Math.abs(begins - nominal)).toBeLessThan(0.5 * cycle);
      expect(Math.abs(ends - nominal - cycles * cycle)).toBeLessThan(0.5 * cycle);
    }
  });

  test("phase of the carrier to sync, and its sequence over the fields", () => {
    // Phase of the burst extrapolated to 0H of a line: the wave's reference phase there plus the burst's own.
    const at0H = (n: number) =>
      (((toNumber(line.mul(n).mul(f).mod(1)) * 360 + all[n].degrees) % 360) + 360) % 360;
    if (is625) {
      // EBU D 23: the axis of +U, from which the burst leads by 135° or 225°, has phase 0° at 0H of line 1 of the
      // first field; a line adds 0.7516 of a turn, a frame 3/4 (1135/4 × 625 + 1 cycles).
      const axis = (n: number) => (at0H(n) - (n % 2 === 0 ? 135 : 225) + 720) % 360;
      for (const n of [20, 41, 300, 400]) {
        const firstLine = (axis(n) - n * 0.7516 * 360 + 360 * 1000) % 360;
        expect(Math.abs(((firstLine + 180) % 360) - 180)).toBeLessThan(0.01);
        const gains = [1, 2, 4].map((k) => (axis(n + k * lines) - axis(n) + 720) % 360);
        [270, 180, 0].forEach((wanted, k) => {
          expect(Math.abs(((gains[k] - wanted + 540) % 360) - 180)).toBeLessThan(0.01);
        });
      }
    } else {
      // SMPTE 170M: field I has rising zero crossings of the burst at 0H of even lines; so in field II; in fields III
      // and IV at 0H of odd lines.
      for (let n = 9; n < 2 * lines; n++) {
        if (all[n].size < half / 2) continue;
        const number = (n % lines) + 1;
        const rises = n < lines ? number % 2 === 0 : number % 2 === 1;
        const apart = Math.abs(((at0H(n) - (rises ? 0 : 180) + 540) % 360) - 180);
        expect(apart).toBeLessThan(0.01);
      }
    }
  });

  test("bars: luminance, chroma and phase", () => {
    const table = book.colourBars75[is625 ? "625" : "525"];
    const step = new Fraction(table.step_mV).valueOf() / 1000;
    const bars = new Scope(video({ system, pattern: { kind: "colour bars" } }));
    const rows: number[][] = table.value.split(", ").map((r: string) => r.split(" ").map(Number));
    // Figures in units have a decimal, those in millivolts none.
    const unsure = is625 ? 0.51 : 0.051;
    const [start, end] = [
      number(said.blankingEnd),
      Number(said.line.value.split("/").reduce(quotient)) - 1.5,
    ];
    // A line of either sign.
    for (const n of [100, 101]) {
      const sign = is625 && n % 2 === 1 ? -1 : 1;
      rows.forEach(([luma, chroma, degrees], i) => {
        const middle = start + ((end - start) * (i + 1.5)) / 8;
        const from = line
          .mul(n)
          .add(micro(middle.toFixed(6)))
          .sub(ratio(4).div(f));
        const seen = bars.carrier(f, from, 8);
        expect(Math.abs((2 * seen.size) / step - chroma)).toBeLessThan(unsure);
        const turned = sign === 1 ? seen.degrees : 360 - seen.degrees;
        expect(Math.abs(turned - degrees)).toBeLessThan(is625 ? 0.51 : 0.051);
        let mean = 0;
        for (let k = 0; k < 256; k++) mean += bars.at(from.add(ratio(k, 32).div(f))) / 256;
        expect(Math.abs(mean / step - luma)).toBeLessThan(unsure);
      });
    }
  });

  test("the burst touches the slice at half of sync and no more; saturated colours of 625 lines go below", () => {
    const level = new Fraction(said.levels_mV.slice.value).div(1000);
    expect(decidable(wave, level, level)).toBe(true);
    // 75 % red and blue of 625 lines: 157 − 332 and 60 − 235 mV lie below −150 mV; of 525 lines none below −20 units.
    const bars = video({ system, pattern: { kind: "colour bars" } });
    expect(decidable(bars, level, level)).toBe(!is625);
  });
});

test("primaries add up to white", () => {
  for (const system of ["525/59.94", "625/50"] as const) {
    const [, yellow, cyan, green, magenta, red, blue] = colourBars(system);
    // Complements: together they are grey of 75 %.
    for (const [a, b] of [
      [yellow, blue],
      [cyan, red],
      [green, magenta],
    ]) {
      expect(a.y + b.y).toBeCloseTo(0.75, 14);
      expect(a.u + b.u).toBeCloseTo(0, 14);
      expect(a.v + b.v).toBeCloseTo(0, 14);
    }
  }
});

function quotient(a: number | string, b: number | string): number {
  return Number(a) / Number(b);
}
