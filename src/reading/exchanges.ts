// What changes hands inside the leaps of a recording.
// Takes stretches in their order; gives what was delivered and dissipated in each. Always: a stretch is parted at every corner
// of a source that carries power, and where an output's current turns from one rail to the other (rails.ts).

import type { Assembly } from "../assembly/assemble.js";
import type { Combination } from "../equations/system.js";
import type { Course } from "../stepping/courses.js";
import { wholeOf } from "../stepping/groups.js";
import type { Inputs } from "../stepping/inputs.js";
import { LeapMatrices } from "../stepping/leapmatrices.js";
import { Motion } from "../stepping/motion.js";
import { hermiteRoot } from "../stepping/root.js";
import { cubicAt, partingShare } from "./accuracy.js";
import { EnergyIntegral, type Exchange } from "./energy.js";
import { formOf } from "./forms.js";
import { type LeapForm, leapFormOf } from "./leapforms.js";
import { RailModes } from "./rails.js";
import type { Recording, Stretch } from "./recording.js";

/** A guard left out, over z, and the largest that it has come to. */
interface Turning extends LeapForm {
  most: number;
}

/** One combination: how it moves with all that carries power, and its works by the guards left out that are violated. */
interface Book {
  readonly at: Combination;
  readonly course: Course;
  readonly alike: readonly Turning[];
  readonly works: Map<string, EnergyIntegral>;
}

/** A piece that has been parted so often for a turn is taken as it is. */
const deepest = 24;
/** A share of the largest that a line has come to, where it is taken to turn, and up to which its cubic is true. */
const speck = 1e-6;
/** Looks by the cubic before halves are taken. */
const tries = 8;

/** Keeps the books of a recording of leaps. */
export class EnergyExchanges {
  private readonly books: Book[] = [];
  private readonly inputs: Inputs;
  private readonly shown: RailModes;
  // A piece's start, a place within, and where z has come to.
  private start = new Float64Array(0);
  private middle = new Float64Array(0);
  private z = new Float64Array(0);

  /** @param delivers whether what a part takes up counts as taken from a source, by its index */
  constructor(
    private readonly assembly: Assembly,
    private readonly recording: Recording,
    private readonly delivers: readonly boolean[],
  ) {
    this.inputs = assembly.inputs();
    this.shown = new RailModes(assembly.system);
  }

  /** What changes hands between two ticks of a stretch. @param x the states at the first */
  over({ index }: Stretch, from: number, to: number, x: Float64Array): Exchange {
    const { inputs } = this;
    const sum: Exchange = { delivered: 0, dissipated: 0, terms: 0 };
    const book = this.book(this.recording.mode(index));
    const { motion } = book.course;
    if (this.z.length !== motion.width) {
      this.z = new Float64Array(motion.width);
      this.start = new Float64Array(motion.width);
      this.middle = new Float64Array(motion.width);
    }
    const { z } = this;
    z.set(x);
    for (let at = from; at < to; ) {
      let end = to;
      for (const { source } of motion.voices) {
        const player = inputs.players[source - 1];
        player.seek(at, 1);
        end = Math.min(end, player.next(at));
      }
      motion.drive(inputs, at, z);
      this.piece(book, end - at, sum);
      at = end;
    }
    return sum;
  }

  /** Moves z on by so many ticks without a corner. */
  private piece(book: Book, ticks: number, sum: Exchange): void {
    const { z, start, middle } = this;
    if (book.alike.length === 0) {
      this.works(book, "").over(z, ticks, sum);
      return;
    }
    start.set(z);
    // As a rule nothing turns: one look on the way shows it.
    const on = Math.ceil(partingShare * ticks);
    book.course.matrices.leap(z, on, false);
    middle.set(z);
    z.set(start);
    const tried: Exchange = { delivered: 0, dissipated: 0, terms: 0 };
    this.works(book, keyOf(book, middle)).over(z, ticks, tried);
    const { tick } = book.course.matrices;
    const straight = (line: Turning) => {
      const [a, b] = [lookOf(line, start, 0), lookOf(line, z, ticks)];
      return course(line, a, lookOf(line, middle, on), b, tick) === "keeps";
    };
    if (book.alike.every(straight)) {
      sum.delivered += tried.delivered;
      sum.dissipated += tried.dissipated;
      sum.terms += tried.terms;
      return;
    }
    this.parted(book, ticks, sum);
  }

  /** The same of a piece on which a guard left out turns. */
  private parted(book: Book, ticks: number, sum: Exchange): void {
    const { z, start } = this;
    const cuts = new Set<number>();
    for (const line of book.alike)
      this.turns(book, line, this.along(book, line, 0), this.along(book, line, ticks), 0, cuts);
    const ends = [0, ...cuts, ticks].sort((a, b) => a - b);
    // Near its end a line may still be of either sign: the middle says which holds.
    const keys = ends.slice(1).map((end, k) => this.keyAfter(book, Math.floor((ends[k] + end) / 2)));
    z.set(start);
    for (const [k, key] of keys.entries())
      if (ends[k + 1] > ends[k]) this.works(book, key).over(z, ends[k + 1] - ends[k], sum);
  }

  /** Ticks after the start of the piece in hand at which a line turns its sign. */
  private turns(book: Book, line: Turning, a: Seen, b: Seen, depth: number, cuts: Set<number>): void {
    const length = b.tick - a.tick;
    if (length <= 1 || depth >= deepest) return;
    const m = this.along(book, line, a.tick + Math.ceil(partingShare * length));
    const found = course(line, a, m, b, book.course.matrices.tick);
    if (found === "keeps") return;
    if (found === "turns") {
      cuts.add(this.turn(book, line, a, b));
      return;
    }
    this.turns(book, line, a, m, depth + 1, cuts);
    this.turns(book, line, m, b, depth + 1, cuts);
  }

  /**
   * The tick at which a line that runs one way turns its sign, as far as its energy goes: what it carries there is next to
   * nothing, and to whom it is given makes next to no difference.
   */
  private turn(book: Book, line: Turning, a: Seen, b: Seen): number {
    const little = speck * line.most;
    const sign = b.value > 0 ? 1 : -1;
    let [low, high] = [a, b];
    for (let k = 0; high.tick - low.tick > 1; k++) {
      const span = high.tick - low.tick;
      const h = sign * span * book.course.matrices.tick;
      const root =
        k < tries ? hermiteRoot(sign * low.value, h * low.slope, sign * high.value, h * high.slope) : 0.5;
      const tick = low.tick + Math.min(Math.max(Math.round(root * span), 1), span - 1);
      const m = this.along(book, line, tick);
      if (Math.abs(m.value) <= little) return tick;
      if (m.value > 0 === b.value > 0) high = m;
      else low = m;
    }
    return high.tick;
  }

  /** A line so many ticks after the start of the piece in hand. */
  private along({ course }: Book, line: LeapForm, tick: number): Seen {
    const { z, start } = this;
    z.set(start);
    if (tick > 0) course.matrices.leap(z, tick, false);
    return lookOf(line, z, tick);
  }

  private keyAfter(book: Book, tick: number): string {
    this.along(book, book.alike[0], tick);
    return keyOf(book, this.z);
  }

  private works(book: Book, key: string): EnergyIntegral {
    let works = book.works.get(key);
    if (!works) {
      const at = key === "" ? book.at : this.shown.variant(book.at, (g) => key[g] === "1");
      works = new EnergyIntegral(at, book.course, this.delivers);
      book.works.set(key, works);
    }
    return works;
  }

  private book(mode: number): Book {
    this.books[mode] ??= this.bookOf(this.assembly.system.combinations[mode]);
    return this.books[mode];
  }

  private bookOf(at: Combination): Book {
    const { equations } = at;
    const { U, D, count } = equations.currents;
    const carrying: number[] = [];
    for (let s = 1; s < equations.nu; s++)
      for (let i = 0; i < count; i++)
        if (U[i * equations.nu + s] !== 0 || D[i * equations.nu + s] !== 0) {
          carrying.push(s);
          break;
        }
    const whole = wholeOf(equations);
    const sources = [...new Set([...whole.sources, ...carrying])].sort((a, b) => a - b);
    const motion = new Motion(equations, this.inputs, { ...whole, sources });
    const course = { motion, matrices: new LeapMatrices(motion, this.assembly.clock), index: 0 };
    const alike = this.shown.alike(at);
    const lines = alike
      ? alike.flips.map((_, g) => ({
          ...leapFormOf(formOf(equations, [[alike.rows, g, 1]]), course),
          most: 0,
        }))
      : [];
    return { at, course, alike: lines, works: new Map() };
  }
}

/** Which of the guards left out are violated. */
function keyOf({ alike }: Book, z: Float64Array): string {
  let key = "";
  for (const { value, slope } of alike) {
    const v = product(value, z);
    key += v > 0 || (v === 0 && product(slope, z) > 0) ? "1" : "0";
  }
  return key;
}

/** A line at a tick. */
interface Seen {
  readonly tick: number;
  readonly value: number;
  readonly slope: number;
}

/** What a line does over a length: keeps its sign, turns it once, or needs a closer look. */
function course(line: Turning, a: Seen, m: Seen, b: Seen, tick: number): "keeps" | "turns" | "open" {
  const [first, middle, last] = [a, m, b].map(({ value }) => Math.abs(value));
  line.most = Math.max(line.most, first, middle, last);
  const length = b.tick - a.tick;
  const [rise, fall] = [length * tick * a.slope, length * tick * b.slope];
  const guess = cubicAt(a.value, rise, b.value, fall, (m.tick - a.tick) / length);
  const off = Math.max(Math.abs(guess.value - m.value), Math.abs(guess.slope - length * tick * m.slope) / 4);
  const alike = a.value > 0 === b.value > 0 && a.value > 0 === m.value > 0;
  // Farther from zero than the cubic is from the truth, by far.
  if (alike && 4 * off <= Math.min(first, middle, last)) return "keeps";
  if (off > speck * line.most) return "open";
  const oneWay = rise > 0 === fall > 0;
  if (a.value > 0 !== b.value > 0) return oneWay ? "turns" : "open";
  return oneWay || a.value > 0 === rise > 0 || middle <= speck * line.most ? "keeps" : "open";
}

function lookOf({ value, slope }: LeapForm, z: Float64Array, tick: number): Seen {
  return { tick, value: product(value, z), slope: product(slope, z) };
}

function product(row: Float64Array, z: Float64Array): number {
  let sum = 0;
  for (let j = 0; j < row.length; j++) sum += row[j] * z[j];
  return sum;
}
