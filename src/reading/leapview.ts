// One probe along a recording: its value and slope at any instant of a stretch between two samples.
// Inside a leap both are rows over z at the start of the leap: row · e^(At). A leap that will come again (leapmatrices.ts) has
// its rows kept, so that a look costs two short products; in any other the state itself is carried on.
// What comes from sources that move nothing in the combination is played beside it.

import type { Assembly } from "../assembly/assemble.js";
import type { Combination } from "../equations/system.js";
import type { Course } from "../stepping/courses.js";
import type { Inputs } from "../stepping/inputs.js";
import { formOf, type ProbeReader, probeReader } from "./forms.js";
import { dependenceOf, type FormDependence, type LeapForm, leapFormOf, sameRows } from "./leapforms.js";
import { bitsOf, MissingStates } from "./missing.js";
import type { Probe } from "./probe.js";
import { RailModes } from "./rails.js";
import type { Recording, Stretch } from "./recording.js";
import { type Roundoff, roundoffOf, roundoffOfAll, sifted } from "./roundoff.js";
import { type LeapPoint, signChanges } from "./signs.js";
import { StepView } from "./stepview.js";

/** Looks along a recording. After `look`, `value` and `slope` (a second) hold what was seen. */
export interface ProbeView {
  readonly value: number;
  readonly slope: number;
  /** Stretches of some length that overlap a span of ticks, in order, joined where nothing that is seen notices. */
  stretches(from: number, to: number): Iterable<Stretch>;
  /** Goes to a stretch; gives the instants within it at which something that is seen has a corner, in order. */
  enter(stretch: Stretch): readonly number[];
  /** Looks at a tick of the stretch, as it is reached (side 0) or left (1). */
  look(tick: number, side: 0 | 1): void;
  /** The rounding of what was looked at last. */
  grain(): Roundoff;
}

/** A sight of a probe. */
export function viewOf(assembly: Assembly, recording: Recording, probe: Probe): ProbeView {
  return recording.exact
    ? new LeapView(
        assembly,
        recording,
        probeReader(assembly, probe),
        probe.type === "current" || probe.type === "power",
      )
    : new StepView(assembly, recording, probeReader(assembly, probe));
}

/** Everything about one combination. */
interface View extends FormDependence {
  /** The states that lines depend on, as bits. */
  readonly mask: number;
  readonly at: Combination;
  readonly course: Course;
  readonly lines: readonly LeapForm[];
  readonly products: boolean;
  /** Where what is seen depends on guards that the march leaves out (rails.ts): these, over z. */
  readonly alike: readonly LeapForm[];
  /** By which of them are violated: the lines that hold then. */
  readonly variants: Map<string, readonly LeapForm[]>;
  /** Sources not in z. */
  readonly apart: readonly number[];
  /** By length: value and slope rows of all lines over the z at the start, one after the other. */
  readonly kept: Map<number, Float64Array>;
}

/** The most lengths that rows are kept for. */
const mostKept = 16384;

const none: readonly number[] = [];

class LeapView implements ProbeView {
  value = 0;
  slope = 0;
  private readonly inputs: Inputs;
  private readonly views: View[] = [];
  private view!: View;
  private stretch!: Stretch;
  private recurs = false;
  private start = new Float64Array(0);
  private z = new Float64Array(0);

  private readonly shown: RailModes;
  private readonly filling: MissingStates;
  /** What was looked at last. */
  private seen: Float64Array = this.z;
  private seenAt = 0;

  constructor(
    private readonly assembly: Assembly,
    private readonly recording: Recording,
    private readonly read: ProbeReader,
    /** What is seen has a current in it; the guards that the march leaves out move no voltage. */
    private readonly flows: boolean,
  ) {
    this.inputs = assembly.inputs();
    this.shown = new RailModes(assembly.system);
    this.filling = new MissingStates(assembly, recording, this.inputs);
  }

  *stretches(from: number, to: number): Generator<Stretch> {
    const { recording } = this;
    const { count } = recording;
    for (
      let i = recording.last(from), start = recording.tick(i);
      i + 1 < count && (start < to || start <= from);
    ) {
      const tick = recording.tick(i + 1);
      if (tick === start || tick <= from) {
        i++;
        start = tick;
        continue;
      }
      const stretch = this.joined(i, to);
      yield stretch;
      i = stretch.end;
      start = stretch.to;
    }
  }

  /** The stretch that begins with a sample, as far as nothing that is seen notices anything. */
  private joined(index: number, to: number): Stretch {
    const { recording, inputs } = this;
    const { count } = recording;
    const view = this.viewAt(recording.mode(index));
    const from = recording.tick(index);
    let smooth = Number.POSITIVE_INFINITY;
    for (const s of view.sources) smooth = Math.min(smooth, inputs.players[s - 1].next(from));
    let end = index + 1;
    let tick = recording.tick(end);
    while (tick < smooth && tick < to) {
      let last = end;
      while (last + 1 < count && recording.tick(last + 1) === tick) last++;
      if (last + 1 >= count || !this.goesOn(view, end, last)) break;
      end = last + 1;
      tick = recording.tick(end);
    }
    return { index, end, from, to: tick };
  }

  /** Whether what is seen goes on over the samples of one instant as if there were none. */
  private goesOn(view: View, first: number, last: number): boolean {
    const { recording } = this;
    const mode = recording.mode(last);
    if (mode !== recording.mode(first) && this.viewAt(mode).motion !== view.motion) return false;
    // What is seen was not touched.
    const news = recording.given(last) & view.mask;
    if (first === last || news === 0) return true;
    if ((recording.given(first) & news) !== news) return false;
    const { states } = recording;
    const [a, b] = [recording.base(first), recording.base(last)];
    return view.states.every((k) => (news & (1 << k)) === 0 || states[a + k] === states[b + k]);
  }

  private viewAt(mode: number): View {
    this.views[mode] ??= this.viewOf(this.assembly.system.combinations[mode]);
    return this.views[mode];
  }

  enter(stretch: Stretch): readonly number[] {
    const { recording, assembly, inputs } = this;
    const { index, from, to } = stretch;
    const view = this.viewAt(recording.mode(index));
    this.view = view;
    this.stretch = stretch;
    const { motion } = view.course;
    this.filling.complete(index, view.mask);
    this.filling.complete(stretch.end, view.mask);
    if (this.start.length !== motion.width) {
      this.start = new Float64Array(motion.width);
      this.z = new Float64Array(motion.width);
    }
    const { start } = this;
    for (const { source } of motion.voices) inputs.players[source - 1].seek(from, 1);
    motion.drive(inputs, from, start);
    const nx = assembly.system.states.length;
    for (let k = 0, p = recording.base(index); k < nx; k++, p++) start[k] = recording.states[p];
    this.recurs = inputs.recurs(from, to, motion.voices);
    if (view.apart.length === 0 && view.alike.length === 0) return none;
    const found = new Set<number>();
    for (const line of view.alike)
      for (const n of signChanges((tick) => this.along(line, tick), from, to, assembly.clock.seconds))
        found.add(n);
    for (const s of view.apart) {
      const player = inputs.players[s - 1];
      for (let n = player.next(from); n < to; n = player.next(n)) found.add(n);
    }
    return found.size > 1 ? [...found].sort((a, b) => a - b) : [...found];
  }

  look(tick: number, side: 0 | 1): void {
    const { view, stretch, start, z } = this;
    const { lines } = view;
    if (tick === stretch.from) this.sum(tick, side, start, undefined);
    else if (tick === stretch.to) {
      const nx = this.assembly.system.states.length;
      for (let k = 0, p = this.recording.base(stretch.end); k < nx; k++, p++) z[k] = this.recording.states[p];
      view.course.motion.drive(this.inputs, tick, z);
      this.sum(tick, side, z, undefined);
    } else {
      const rows =
        this.recurs && lines.length > 0 && view.alike.length === 0
          ? this.rowsAfter(tick - stretch.from)
          : undefined;
      z.set(start);
      if (!rows) view.course.matrices.leap(z, tick - stretch.from, false);
      this.sum(tick, side, z, rows);
    }
  }

  grain(): Roundoff {
    const { lines, products } = this.view;
    return roundoffOfAll(lines, this.seen, this.elapsed(this.seenAt), products);
  }

  private elapsed(tick: number): number {
    return (tick - this.stretch.from) * this.assembly.clock.seconds;
  }

  /** Adds everything up. @param rows rows kept for a length; absent: the lines' own */
  private sum(tick: number, side: 0 | 1, z: Float64Array, rows: Float64Array | undefined): void {
    const { products, apart, alike } = this.view;
    for (const s of apart) this.inputs.players[s - 1].seek(tick, side);
    this.seen = z;
    this.seenAt = tick;
    const lines = alike.length > 0 ? this.variant(tick, z) : this.view.lines;
    const width = z.length;
    this.value = 0;
    this.slope = 0;
    let [value, slope] = [0, 0];
    for (let l = 0; l < lines.length; l++) {
      const line = lines[l];
      let [v, d] = [0, 0];
      if (rows) {
        for (let j = 0, p = 2 * l * width; j < width; j++, p++) {
          v += rows[p] * z[j];
          d += rows[p + width] * z[j];
        }
      } else {
        for (let j = 0; j < width; j++) {
          v += line.value[j] * z[j];
          d += line.slope[j] * z[j];
        }
      }
      for (const { source, level, slope: by } of line.apart) {
        const player = this.inputs.players[source - 1];
        const rise = player.slope(tick);
        v += level * player.value(tick) + by * rise;
        d += level * rise + by * player.bend(tick);
      }
      if (!products) {
        this.value = v;
        this.slope = d;
      } else if (l % 2 === 0) [value, slope] = [v, d];
      else {
        this.value += value * v;
        this.slope += slope * v + value * d;
      }
    }
  }

  /** The lines that hold at an instant, by the guards that the march left out. */
  private variant(tick: number, z: Float64Array): readonly LeapForm[] {
    const { alike, variants, at } = this.view;
    let key = "";
    for (const { value, apart } of alike) {
      let v = 0;
      for (let j = 0; j < z.length; j++) v += value[j] * z[j];
      for (const { source, level, slope } of apart) {
        const player = this.inputs.players[source - 1];
        v += level * player.value(tick) + slope * player.slope(tick);
      }
      key += v > 0 ? "1" : "0";
    }
    let lines = variants.get(key);
    if (!lines) {
      lines = this.linesOf(
        this.shown.variant(at, (g) => key[g] === "1"),
        this.view.course,
      );
      variants.set(key, lines);
    }
    return lines;
  }

  /** One line at a tick of the stretch. */
  private along(line: LeapForm, tick: number): LeapPoint {
    const { stretch, start, z, view, inputs } = this;
    z.set(start);
    if (tick > stretch.from) view.course.matrices.leap(z, tick - stretch.from, false);
    let [value, slope] = [0, 0];
    for (let j = 0; j < z.length; j++) {
      value += line.value[j] * z[j];
      slope += line.slope[j] * z[j];
    }
    for (const { source, level, slope: by } of line.apart) {
      const player = inputs.players[source - 1];
      player.seek(tick, tick < stretch.to ? 1 : 0);
      value += level * player.value(tick) + by * player.slope(tick);
      slope += level * player.slope(tick) + by * player.bend(tick);
    }
    return { tick, ...sifted(value, slope, roundoffOf(line, z, this.elapsed(tick))) };
  }

  /** Rows for a length that is looked at again and again. */
  private rowsAfter(ticks: number): Float64Array {
    const { kept, lines, course } = this.view;
    const known = kept.get(ticks);
    if (known) return known;
    if (kept.size >= mostKept) kept.clear();
    const { width } = course.motion;
    const rows = new Float64Array(2 * lines.length * width);
    lines.forEach(({ value, slope }, l) => {
      for (const [k, row] of [value, slope].entries()) {
        const place = rows.subarray((2 * l + k) * width, (2 * l + k + 1) * width);
        place.set(row);
        course.matrices.pull(place, ticks);
      }
    });
    kept.set(ticks, rows);
    return rows;
  }

  private viewOf(at: Combination): View {
    const course = this.assembly.courses.of(at);
    const lines = this.linesOf(at, course);
    const { products } = this.read(at.equations, at.modes);
    const alike = this.alikeOf(at, course, lines);
    const apart = [...new Set([...lines, ...alike].flatMap((line) => line.apart.map((t) => t.source)))];
    const seen = dependenceOf(at, course, [...lines, ...alike], products);
    return {
      at,
      course,
      lines,
      products,
      alike,
      apart,
      ...seen,
      mask: bitsOf(seen.states),
      variants: new Map(),
      kept: new Map(),
    };
  }

  private linesOf(at: Combination, course: Course): LeapForm[] {
    return this.read(at.equations, at.modes).forms.map((form) => leapFormOf(form, course));
  }

  /** The guards that the march leaves out, where what is seen depends on any of them. */
  private alikeOf(at: Combination, course: Course, lines: readonly LeapForm[]): LeapForm[] {
    const alike = this.flows ? this.shown.alike(at) : undefined;
    if (!alike) return [];
    const depends = alike.flips.some((_, g) =>
      this.linesOf(
        this.shown.variant(at, (one) => one === g),
        course,
      ).some((line, l) => !sameRows(line.value, lines[l].value)),
    );
    return depends
      ? alike.flips.map((_, g) => leapFormOf(formOf(at.equations, [[alike.rows, g, 1]]), course))
      : [];
  }
}
