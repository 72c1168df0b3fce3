// One probe along a recording: its value and slope at any instant of a stretch between two samples.
// Inside a leap both are rows over z at the start of the leap: row · e^(At). A leap that will come again (pieces.ts) has
// its rows kept, so that a look costs two short products; in any other the state itself is carried on.
// What comes from sources that move nothing in the combination is played beside it.
import type { Combination } from "../equations/system.js";
import type { Course } from "../stepping/courses.js";
import type { Inputs } from "../stepping/inputs.js";
import { voiced } from "../stepping/motion.js";
import type { Assembly } from "./assemble.js";
import { allowance, cubic, deepest, type Swing, share, trueTo, widen } from "./cubic.js";
import { Playback } from "./playback.js";
import type { Probe } from "./probe.js";
import { type Form, formOf, type Reader, reader } from "./reader.js";
import type { Recording, Stretch } from "./recording.js";
import { Shown } from "./shown.js";

/** Looks along a recording. After `look`, `value` and `slope` (a second) hold what was seen. */
export interface Sight {
  readonly value: number;
  readonly slope: number;
  /** Stretches of some length that overlap a span of ticks, in order, joined where nothing that is seen notices. */
  stretches(from: number, to: number): Iterable<Stretch>;
  /** Goes to a stretch; gives the instants within it at which something that is seen has a corner, in order. */
  enter(stretch: Stretch): readonly number[];
  /** Looks at a tick of the stretch, as it is reached (side 0) or left (1). */
  look(tick: number, side: 0 | 1): void;
}

/** A sight of a probe. */
export function sightOf(assembly: Assembly, recording: Recording, probe: Probe): Sight {
  return recording.exact
    ? new LeapSight(assembly, recording, reader(assembly, probe))
    : new StepSight(assembly, recording, reader(assembly, probe));
}

/** A form in one combination, over z. */
interface Line {
  readonly value: Float64Array;
  readonly slope: Float64Array;
  /** Terms of sources that are not in z. */
  readonly apart: Form["terms"];
}

/** Everything about one combination. */
interface View {
  readonly at: Combination;
  readonly course: Course;
  readonly lines: readonly Line[];
  readonly products: boolean;
  /** Where what is seen depends on guards that the march leaves out (shown.ts): these, over z. */
  readonly alike: readonly Line[];
  /** States that what is seen depends on, and sources; everything that moves them, as one word. */
  readonly states: readonly number[];
  readonly sources: readonly number[];
  readonly motion: string;
  /** By which of them are violated: the lines that hold then. */
  readonly variants: Map<string, readonly Line[]>;
  /** Sources not in z. */
  readonly apart: readonly number[];
  /** By length: value and slope rows of all lines over the z at the start, one after the other. */
  readonly kept: Map<number, Float64Array>;
}

/** A line at one instant. */
interface Look {
  readonly tick: number;
  readonly value: number;
  readonly slope: number;
}

/** The most lengths that rows are kept for. */
const mostKept = 16384;

const none: readonly number[] = [];

class LeapSight implements Sight {
  value = 0;
  slope = 0;
  private readonly inputs: Inputs;
  private readonly views: View[] = [];
  private view!: View;
  private stretch!: Stretch;
  private recurs = false;
  private start = new Float64Array(0);
  private z = new Float64Array(0);

  private readonly shown: Shown;

  constructor(
    private readonly assembly: Assembly,
    private readonly recording: Recording,
    private readonly read: Reader,
  ) {
    this.inputs = assembly.inputs();
    this.shown = new Shown(assembly.system);
  }

  *stretches(from: number, to: number): Generator<Stretch> {
    const { recording } = this;
    const { ticks, count } = recording;
    for (let i = recording.last(from); i + 1 < count && (ticks[i] < to || ticks[i] <= from); ) {
      const next = i + 1;
      if (ticks[next] === ticks[i] || ticks[next] <= from) {
        i = next;
        continue;
      }
      const stretch = this.joined(i, to);
      yield stretch;
      i = stretch.end;
    }
  }

  /** The stretch that begins with a sample, as far as nothing that is seen notices anything. */
  private joined(index: number, to: number): Stretch {
    const { recording, inputs } = this;
    const { ticks, count, modes } = recording;
    const view = this.viewAt(modes[index]);
    let smooth = Number.POSITIVE_INFINITY;
    for (const s of view.sources) smooth = Math.min(smooth, inputs.players[s - 1].next(ticks[index]));
    let end = index + 1;
    while (ticks[end] < smooth && ticks[end] < to) {
      let last = end;
      while (last + 1 < count && ticks[last + 1] === ticks[end]) last++;
      if (last + 1 >= count || !this.goesOn(view, end, last)) break;
      end = last + 1;
    }
    return { index, end, from: ticks[index], to: ticks[end] };
  }

  /** Whether what is seen goes on over the samples of one instant as if there were none. */
  private goesOn(view: View, first: number, last: number): boolean {
    const { modes, states } = this.recording;
    if (modes[last] !== modes[first] && this.viewAt(modes[last]).motion !== view.motion) return false;
    const nx = this.assembly.system.states.length;
    return first === last || view.states.every((k) => states[first * nx + k] === states[last * nx + k]);
  }

  private viewAt(mode: number): View {
    this.views[mode] ??= this.viewOf(this.assembly.system.combinations[mode]);
    return this.views[mode];
  }

  enter(stretch: Stretch): readonly number[] {
    const { recording, assembly, inputs } = this;
    const { index, from, to } = stretch;
    const view = this.viewAt(recording.modes[index]);
    this.view = view;
    this.stretch = stretch;
    const { motion } = view.course;
    if (this.start.length !== motion.width) {
      this.start = new Float64Array(motion.width);
      this.z = new Float64Array(motion.width);
    }
    const { start } = this;
    for (const { source } of motion.voices) inputs.players[source - 1].seek(from, 1);
    motion.drive(inputs, from, start);
    const nx = assembly.system.states.length;
    for (let k = 0, p = index * nx; k < nx; k++, p++) start[k] = recording.states[p];
    this.recurs = inputs.recurs(from, to, motion.voices);
    if (view.apart.length === 0 && view.alike.length === 0) return none;
    const found = new Set<number>();
    for (const line of view.alike) for (const n of this.crossings(line)) found.add(n);
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
      for (let k = 0, p = stretch.end * nx; k < nx; k++, p++) z[k] = this.recording.states[p];
      view.course.motion.drive(this.inputs, tick, z);
      this.sum(tick, side, z, undefined);
    } else if (this.recurs && lines.length > 0 && view.alike.length === 0) {
      this.sum(tick, side, start, this.rowsAfter(tick - stretch.from));
    } else {
      z.set(start);
      view.course.pieces.leap(z, tick - stretch.from, false);
      this.sum(tick, side, z, undefined);
    }
  }

  /** Adds everything up. @param rows rows kept for a length; absent: the lines' own */
  private sum(tick: number, side: 0 | 1, z: Float64Array, rows: Float64Array | undefined): void {
    const { products, apart, alike } = this.view;
    for (const s of apart) this.inputs.players[s - 1].seek(tick, side);
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
  private variant(tick: number, z: Float64Array): readonly Line[] {
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

  /** Ticks within the stretch at which a line crosses zero. */
  private crossings(line: Line): number[] {
    const { from, to } = this.stretch;
    const found: number[] = [];
    const swing: Swing = { low: Number.POSITIVE_INFINITY, high: Number.NEGATIVE_INFINITY };
    const at = (tick: number): Look => {
      const look = this.along(line, tick);
      widen(swing, look.value);
      return look;
    };
    const search = (a: Look, b: Look, depth: number): void => {
      const length = b.tick - a.tick;
      const step = Math.floor(share * length);
      if (step === 0) return;
      const h = length * this.assembly.clock.seconds;
      const m = at(a.tick + step);
      const guess = cubic(a.value, h * a.slope, b.value, h * b.slope, step / length);
      const allowed = allowance(swing, trueTo);
      const true_ =
        Math.abs(guess.value - m.value) <= allowed && Math.abs(guess.slope - h * m.slope) <= 4 * allowed;
      const signs = new Set([a, m, b].map(({ value }) => value > 0));
      // Of one sign throughout, and no turn within that could be of the other.
      if (true_ && signs.size === 1 && (a.slope > 0 === b.slope > 0 || a.value > 0 === a.slope > 0)) return;
      if (depth >= deepest) return;
      if (true_ && signs.size === 2 && a.slope > 0 === b.slope > 0) {
        found.push(this.crossing(line, a, b));
        return;
      }
      search(a, m, depth + 1);
      search(m, b, depth + 1);
    };
    search(at(from), at(to), 0);
    return found;
  }

  /** The tick at which a line that runs one way has come to the sign of its end, by halving. */
  private crossing(line: Line, a: Look, b: Look): number {
    let [low, high] = [a.tick, b.tick];
    while (high - low > 1) {
      const middle = low + Math.floor((high - low) / 2);
      if (this.along(line, middle).value > 0 === b.value > 0) high = middle;
      else low = middle;
    }
    return high;
  }

  /** One line at a tick of the stretch. */
  private along(line: Line, tick: number): Look {
    const { stretch, start, z, view, inputs } = this;
    z.set(start);
    if (tick > stretch.from) view.course.pieces.leap(z, tick - stretch.from, false);
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
    return { tick, value, slope };
  }

  private rowsAfter(ticks: number): Float64Array {
    const { kept, lines, course } = this.view;
    let rows = kept.get(ticks);
    if (rows) return rows;
    const { width } = course.motion;
    rows = new Float64Array(2 * lines.length * width);
    lines.forEach(({ value, slope }, l) => {
      for (const [k, row] of [value.slice(), slope.slice()].entries()) {
        course.pieces.pull(row, ticks);
        rows!.set(row, (2 * l + k) * width);
      }
    });
    if (kept.size >= mostKept) kept.clear();
    kept.set(ticks, rows);
    return rows;
  }

  private viewOf(at: Combination): View {
    const course = this.assembly.courses.of(at);
    const lines = this.linesOf(at, course);
    const { products } = this.read(at.equations, at.modes);
    const alike = this.alikeOf(at, course, lines);
    const apart = [...new Set([...lines, ...alike].flatMap((line) => line.apart.map((t) => t.source)))];
    const seen = movesOf(at, course, [...lines, ...alike], products);
    return { at, course, lines, products, alike, apart, ...seen, variants: new Map(), kept: new Map() };
  }

  private linesOf(at: Combination, course: Course): Line[] {
    return this.read(at.equations, at.modes).forms.map((form) => lineOf(form, course));
  }

  /** The guards that the march leaves out, where what is seen depends on any of them. */
  private alikeOf(at: Combination, course: Course, lines: readonly Line[]): Line[] {
    const alike = this.shown.alike(at);
    if (!alike) return [];
    const depends = alike.flips.some((_, g) =>
      this.linesOf(
        this.shown.variant(at, (one) => one === g),
        course,
      ).some((line, l) => !same(line.value, lines[l].value)),
    );
    return depends
      ? alike.flips.map((_, g) => lineOf(formOf(at.equations, [[alike.rows, g, 1]]), course))
      : [];
  }
}

/** What lines depend on, and how that moves: the rows of A that lead to them, and the lines themselves, as one word. */
function movesOf(
  { equations: { nx } }: Combination,
  { motion }: Course,
  lines: readonly Line[],
  products: boolean,
): Pick<View, "states" | "sources" | "motion"> {
  const { A, moving, voices, one } = motion;
  const name = (j: number): string => {
    if (j < nx) return `x${j}`;
    if (j === one) return "1";
    const voice = voices.find(({ level, carrier }) =>
      j < moving ? carrier >= 0 && j >= carrier && j < carrier + 4 : j === level || j === level + 1,
    )!;
    return j < moving ? `${voice.source}c${j - voice.carrier}` : `${voice.source}u${j - voice.level}`;
  };
  const needed = new Set<number>();
  const queue = lines.flatMap(({ value }) => [...value.keys()].filter((j) => value[j] !== 0));
  const sources = new Set<number>();
  const rows: string[] = [];
  for (let j = queue.pop(); j !== undefined; j = queue.pop()) {
    if (needed.has(j) || j === one) continue;
    needed.add(j);
    for (const { source, level, carrier } of voices)
      if (j === level || j === level + 1 || (carrier >= 0 && j >= carrier && j < carrier + 4))
        sources.add(source);
    if (j >= moving) continue;
    const terms: string[] = [];
    for (let p = A.start[j]; p < A.start[j + 1]; p++) {
      queue.push(A.column[p]);
      terms.push(`${name(A.column[p])}*${A.value[p]}`);
    }
    rows.push(`${name(j)}:${terms.join("+")}`);
  }
  const seen = lines.map(({ value, apart }) =>
    JSON.stringify([
      [...value.keys()].flatMap((j) => (value[j] === 0 ? [] : [`${name(j)}*${value[j]}`])),
      apart,
    ]),
  );
  return {
    states: [...needed].filter((j) => j < nx),
    sources: [...sources],
    motion: [...rows.sort(), ...seen, products].join(";"),
  };
}

/** A form over z. */
function lineOf({ x, constant, terms }: Form, { motion }: Course): Line {
  const value = new Float64Array(motion.width);
  value.set(x);
  value[motion.one] = constant;
  for (const voice of motion.voices) {
    const term = terms.find((t) => t.source === voice.source);
    if (term) voiced(value, 0, voice, term.level, term.slope);
  }
  const apart = terms.filter((t) => !motion.voices.some((v) => v.source === t.source));
  return { value, slope: motion.before(value), apart };
}

/** Whether two rows are alike but for rounding. */
function same(a: Float64Array, b: Float64Array): boolean {
  return a.every((v, j) => Math.abs(v - b[j]) <= 1e-9 * Math.max(Math.abs(v), Math.abs(b[j])));
}

/** Samples of steps: nothing is known between them. */
class StepSight implements Sight {
  value = 0;
  slope = 0;
  private readonly playback: Playback;
  private stretch!: Stretch;

  constructor(
    assembly: Assembly,
    private readonly recording: Recording,
    private readonly read: Reader,
  ) {
    this.playback = new Playback(assembly, recording);
  }

  stretches(from: number, to: number): Iterable<Stretch> {
    return this.recording.stretches(from, to);
  }

  enter(stretch: Stretch): readonly number[] {
    this.stretch = stretch;
    return none;
  }

  look(tick: number, side: 0 | 1): void {
    const { playback, stretch } = this;
    const { forms, products } = this.read(playback.equations(stretch.index), playback.modes(stretch.index));
    const m = playback.at(stretch, tick, side, [
      ...new Set(forms.flatMap((f) => f.terms.map((t) => t.source))),
    ]);
    const seen = forms.map(({ x, constant, terms }) => {
      let [v, d] = [constant, 0];
      for (let k = 0; k < x.length; k++) {
        v += x[k] * m.x[k];
        d += x[k] * m.dx[k];
      }
      for (const { source, level, slope } of terms) {
        v += level * m.u[source] + slope * m.du[source];
        d += level * m.du[source] + slope * m.ddu[source];
      }
      return { v, d };
    });
    this.value = products ? 0 : seen[0].v;
    this.slope = products ? 0 : seen[0].d;
    if (!products) return;
    for (let k = 0; k < seen.length; k += 2) {
      this.value += seen[k].v * seen[k + 1].v;
      this.slope += seen[k].d * seen[k + 1].v + seen[k].v * seen[k + 1].d;
    }
  }
}
