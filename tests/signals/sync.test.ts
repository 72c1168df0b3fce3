// Sync pulses against the published figures in shared/video-timing.json, exact over 10 000 fields.
import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { commonDivisor, Fraction, ratio, toNumber } from "../../src/base/fraction.js";
import { Player, tickInstants } from "../../src/signals/player.js";
import { rates, type SyncKind, type SyncPulse, sync, syncPulses, systems } from "../../src/signals/sync.js";
import type { Wave } from "../../src/signals/wave.js";

const book = JSON.parse(
  readFileSync(new URL("../../shared/video-timing.json", import.meta.url), "utf8"),
) as Book;
interface Figure {
  value: string;
  source: string;
}
interface Book {
  systems: Record<string, Record<string, Figure> & { share: Record<string, Figure> }>;
  colourOverMonochromePeriod: Figure;
  fullStraightEdge: Figure & { of: string };
}
const figure = (f: Figure) => new Fraction(f.value);
const micro = (f: Figure) => figure(f).div(1_000_000);
const levels = { low: ratio(0), high: ratio(5) };
const tickOf = (w: Wave, ...more: Fraction[]) => [...tickInstants(w), ...more].reduce(commonDivisor);

/** Same rational, with both shown when it is not. */
function same(a: Fraction, b: Fraction): void {
  expect(a.toFraction()).toBe(b.toFraction());
}

/** A whole number of ticks, or the test fails. */
function whole(time: Fraction, tick: Fraction): bigint {
  const n = time.div(tick);
  expect(n.d).toBe(1n);
  return n.s * n.n;
}

describe.each(systems)("%s", (system) => {
  const said = book.systems[system];
  const given = rates(system);
  const frame = syncPulses(system, "composite");
  const line = micro(said.line);
  const half = line.div(2);
  const isWidth = (width: Fraction) => (p: SyncPulse) => p.width.equals(width);
  const broad = said.broad ? micro(said.broad) : half.sub(micro(said.syncWidth));

  test("periods, widths and the subcarrier are the published ones", () => {
    same(given.line, line);
    same(given.line.inverse(), figure(said.lineFrequency));
    same(given.field, figure(said.field_ms).div(1000));
    expect(given.linesAFrame).toBe(Number(said.linesAFrame.value));
    same(given.sync, micro(said.syncWidth));
    same(given.equalising, micro(said.equalising));
    same(given.broad, broad);
    same(given.edge, micro(said.edge));
    expect(given.subcarrier?.toFraction()).toBe(said.subcarrier && figure(said.subcarrier).toFraction());
    if (given.subcarrier) same(given.subcarrier.mul(given.line), figure(said.subcarrierOverLine));
  });

  test("a frame has its groups in both fields, half a line apart against the line count", () => {
    const group = Number(said.group.value);
    const lines = Number(said.linesAFrame.value);
    const equal = frame.pulses.filter(isWidth(given.equalising));
    const wide = frame.pulses.filter(isWidth(broad));
    const plain = frame.pulses.filter(isWidth(given.sync));
    expect([equal.length, wide.length]).toEqual([4 * group, 2 * group]);
    // Every line begins with a pulse; what is not one of the 6 groups' half lines is a line sync.
    const begins = new Set(
      frame.pulses
        .map((p) => p.at.div(line))
        .filter((n) => n.d === 1n)
        .map(Number),
    );
    expect(begins.size).toBe(lines);
    expect(frame.pulses.length).toBe(equal.length + wide.length + plain.length);
    expect(plain.every((p) => p.at.div(line).d === 1n)).toBe(true);
    same(frame.period, line.mul(lines));

    // Interlace: the first field's broad pulses begin on a line, the second's in the middle of one.
    const first = wide[0].at;
    const second = wide[group].at;
    same(first, line.mul(figure(said.firstBroadPulse_lines)));
    same(second.sub(first), line.mul(figure(said.likePulsesApart_lines)));
    expect([first.div(line).d, second.div(line).d]).toEqual([1n, 2n]);

    // Before, broad, after: consecutive half lines.
    for (const start of [first, second]) {
      for (let k = -group; k < 2 * group; k++) {
        const at = start.add(half.mul(k)).add(frame.period).mod(frame.period);
        const found = frame.pulses.find((p) => p.at.equals(at));
        same(found!.width, k >= 0 && k < group ? broad : given.equalising);
      }
    }
    if (said.groupsTogether) same(half.mul(3 * group), micro(said.groupsTogether));
  });

  // No table gives shares for the monochrome rate.
  if (said.share)
    test("shares of the time at sync level", () => {
      const digits = (f: Figure) => f.value.split(".")[1].length;
      const near = (share: Fraction, f: Figure) => expect(toNumber(share).toFixed(digits(f))).toBe(f.value);
      near(given.sync.div(line), said.share.line);
      near(given.equalising.div(half), said.share.equalising);
      near(given.broad.div(half), said.share.broad);
    });

  test("the field pulse spans the broad pulses", () => {
    const { pulses, period } = syncPulses(system, "field");
    const wide = frame.pulses.filter(isWidth(broad));
    const last = wide[Number(said.group.value) - 1];
    expect(pulses.length).toBe(1);
    same(pulses[0].at, wide[0].at);
    same(pulses[0].at.add(pulses[0].width), last.at.add(last.width));
    same(period, line.mul(figure(said.likePulsesApart_lines)));
  });

  // Independent arithmetic: pulse k of the line at k·H, of the field at start + k·(lines/2)·H, of the frame at
  // its place + frame·lines·H; all as whole ticks of a big integer.
  test.each<SyncKind>(["line", "field", "composite"])("%s sync is exact over 10 000 fields", (which) => {
    const fields = 10_000n;
    const wave = sync(system, which, levels);
    const lines = BigInt(said.linesAFrame.value);
    const tick = tickOf(wave, line.div(2));
    const H2 = whole(half, tick);
    const list: [bigint, bigint][] =
      which === "line"
        ? [[0n, whole(micro(said.syncWidth), tick)]]
        : which === "field"
          ? [
              [
                whole(line.mul(figure(said.firstBroadPulse_lines)), tick),
                H2 * (BigInt(said.group.value) - 1n) + whole(broad, tick),
              ],
            ]
          : frame.pulses.map((p) => [whole(p.at, tick), whole(p.width, tick)]);
    const period = which === "line" ? 2n * H2 : which === "field" ? lines * H2 : 2n * lines * H2;
    const cycles = (fields * lines * H2) / period;
    const player = new Player(wave, tick);
    expect(player.worst).toBe(0);
    let n = -1;
    let wrong = 0;
    for (let cycle = 0n; cycle < cycles; cycle++) {
      const base = Number(cycle * period);
      for (const [at, width] of list) {
        const rises = player.next(n);
        const falls = player.next(rises);
        if (rises !== base + Number(at) || falls !== rises + Number(width)) wrong++;
        n = falls;
      }
    }
    expect(wrong).toBe(0);
    expect(player.value(n, 0)).toBe(5);
    expect([player.value(n, 1), player.jumpAt(n)]).toEqual([0, true]);
  });

  test("with the standard's edges each pulse keeps its half-height points and 10-90 % time", () => {
    const wave = sync(system, "composite", { ...levels, edges: given.edge });
    const full = given.edge.mul(ratio(5, 4));
    const tick = tickOf(wave, full.div(10), ...frame.pulses.map((p) => p.at).filter((t) => t.n > 0n));
    const player = new Player(wave, tick);
    const at = (t: Fraction) => {
      const n = Number(whole(t, tick));
      return player.value(n, 1);
    };
    const tenth = full.div(10);
    for (const p of frame.pulses) {
      const end = p.at.add(p.width);
      const seen = [p.at, p.at.sub(tenth.mul(4)), p.at.add(tenth.mul(4)), end, end.add(tenth.mul(5))].map(at);
      for (const [i, v] of [2.5, 0.5, 4.5, 2.5, 0].entries()) expect(seen[i]).toBeCloseTo(v, 12);
    }
  });
});

test("the colour period is 1001/1000 of the monochrome one", () => {
  const wanted = figure(book.colourOverMonochromePeriod);
  same(rates("525/59.94").line.div(rates("525/60").line), wanted);
  same(rates("525/59.94").field.div(rates("525/60").field), wanted);
});

test("a 10-90 % edge of 140 ns is a straight edge of 175 ns", () => {
  const edges = micro({ value: book.fullStraightEdge.of, source: "" });
  const { shape } = sync("525/59.94", "line", { ...levels, edges });
  if (shape.kind !== "segments") throw new Error("not made of segments");
  const times = shape.corners.map((c) => c.time);
  // The leading edge begins before 0H, that is at the end of the period.
  same(times[0].sub(times[3].sub(shape.period!)), micro(book.fullStraightEdge));
  same(times[2].sub(times[1]), micro(book.fullStraightEdge));
});
