// An oscilloscope for the video tests: reads a wave through its player only, never its corners' meaning. Straight
// waves are traced corner by corner and cut at levels; waves with a carrier are sampled and measured by correlation.
import { readFileSync } from "node:fs";
import { Fraction, toNumber } from "../../src/base/fraction.js";
import { Player } from "../../src/signals/player.js";
import type { Wave } from "../../src/signals/wave.js";

export interface Figure {
  readonly value: string;
  readonly source: string;
  readonly step_mV?: string;
}

// biome-ignore lint/suspicious/noExplicitAny: a file of figures, read as it stands
export const book: any = JSON.parse(
  readFileSync(new URL("../../shared/video-timing.json", import.meta.url), "utf8"),
);

export const number = (f: Figure): number => new Fraction(f.value).valueOf();

/** A wave at ticks of 1/100 ns or its unit, whichever is finer. */
export class Scope {
  readonly player: Player;
  readonly seconds: number;
  readonly tick: Fraction;

  constructor(wave: Wave) {
    if (wave.shape.kind !== "packed") throw new Error("not packed");
    this.tick = wave.shape.unit.div(10);
    this.seconds = toNumber(this.tick);
    this.player = new Player(wave, this.tick);
  }

  /** The level at an instant, s. */
  at(t: Fraction | number): number {
    const n = typeof t === "number" ? Math.round(t / this.seconds) : toNumber(t.div(this.tick).round());
    return this.player.value(n, 1);
  }

  /** Instants (ticks, not rounded) in [from, to] ticks at which a straight wave crosses a level, in order. */
  crossings(level: number, from: number, to: number): { at: number; up: boolean }[] {
    const found: { at: number; up: boolean }[] = [];
    for (let n = from; n < to; ) {
      const next = this.player.next(n);
      const [a, b] = [this.player.value(n, 1), this.player.value(next, 0)];
      if (a < level !== b < level) found.push({ at: n + ((next - n) * (level - a)) / (b - a), up: b > a });
      n = next;
    }
    return found;
  }

  /** Mean of a straight wave over [from, to] ticks. */
  mean(from: number, to: number): number {
    let area = 0;
    for (let n = from; n < to; ) {
      const next = Math.min(this.player.next(n), to);
      area += ((this.player.value(n, 1) + this.player.value(next, 0)) / 2) * (next - n);
      n = next;
    }
    return area / (to - from);
  }

  /**
   * The carrier between two instants: components along sin and cos of 2π f t (t from time zero), by correlation over
   * a whole number of cycles, the straight part taken out as the mean.
   */
  carrier(frequency: Fraction, from: Fraction, cycles: number): { size: number; degrees: number } {
    const per = 64;
    // In whole numbers: instants in ticks, and turns a tick.
    const first = from.div(this.tick);
    const step = frequency.mul(per).inverse().div(this.tick);
    const below = first.d * step.d;
    const turning = this.tick.mul(frequency);
    let [along, across] = [0, 0];
    for (let k = 0; k < per * cycles; k++) {
      // The level is read at the nearest tick, and the phase there is exact.
      const above = first.s * first.n * step.d + BigInt(k) * step.n * first.d;
      const whole = (2n * above + below) / (2n * below);
      const n = Number(whole);
      const turns = (Number((whole * turning.n) % turning.d) / Number(turning.d)) * 2 * Math.PI;
      const v = this.player.value(n, 1);
      along += (2 * v * Math.sin(turns)) / (per * cycles);
      across += (2 * v * Math.cos(turns)) / (per * cycles);
    }
    const degrees = (Math.atan2(across, along) * 180) / Math.PI;
    return { size: Math.sqrt(along ** 2 + across ** 2), degrees: (degrees + 360) % 360 };
  }
}
