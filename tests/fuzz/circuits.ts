// Random circuits of every kind of part, with values from the ordinary to the extreme and the ideal. Take a seed; give a design
// text and how long to run it. Always: the kinds and their words come from the table of the parts themselves, so a new kind is
// among them at once; the same seed gives the same circuit. Most are circuits that somebody could mean: rails that stand, places
// that lead somewhere, amplifiers between rails, signals in step. The rest joins anything to anything at any value.

import { type Dimension, dimension, sameDimension } from "../../src/base/dimension.js";

import type { Kind, PropertyWord } from "../../src/parts/contract.js";
import { kinds } from "../../src/parts/kinds.js";
import type { Range } from "../../src/parts/range.js";
import { Chance } from "../verify/chance.js";

/** A circuit. */
export interface Circuit {
  readonly text: string;
  readonly until: string;
  readonly start: "steady" | "rest" | "settled";
}

/** What is usual for a dimension, as powers of ten, and its unit; beyond it lies the extreme. */
const usual: readonly (readonly [Dimension, number, number, string])[] = [
  [dimension.voltage, -1, 1.2, "V"],
  [dimension.current, -6, -2, "A"],
  [dimension.resistance, 1, 5, "ohm"],
  [dimension.capacitance, -11, -6, "F"],
  [dimension.inductance, -6, -1, "H"],
  [dimension.time, -7, -4, "s"],
  [dimension.frequency, 2, 7, "Hz"],
  [{ volt: 1, ampere: 0, second: -1, kelvin: 0 }, 3, 8, "V/s"],
  [{ volt: -1, ampere: 1, second: 0, kelvin: 0 }, -5, -2, "A/V"],
  [dimension.number, -1, 1, ""],
];

/** How much of everything there is in a circuit. */
interface Size {
  /** The most places that nothing holds. */
  readonly nodes: number;
  /** The fewest and the most parts besides those that lead to ground. */
  readonly parts: readonly [number, number];
  /** The period of all signals as powers of ten, in units of 60 ns. */
  readonly beats: readonly number[];
  /** How many of these periods are run. */
  readonly periods: readonly number[];
}

const ordinary: Size = { nodes: 5, parts: [2, 10], beats: [1, 1.5, 2, 3], periods: [2, 4, 7.3] };
const small: Size = { nodes: 2, parts: [1, 2], beats: [1, 1.5, 2], periods: [1, 1, 2.3] };

/** One seed in so many makes a circuit of ordinary size; the others are small. */
export const large = 50;

/** Words that mean nothing without another one. */
const hangsOn: Readonly<Record<string, string>> = { gain: "follows", toggles: "reset" };

/** One circuit's words, values and places. */
class Maker {
  /** Held by a supply, from the lowest to the highest. */
  private readonly rails: string[] = [];
  private readonly signals: string[] = [];
  /** Held by nothing, each with a way to ground. */
  private readonly nodes: string[] = [];
  private readonly coils: string[] = [];
  private readonly lines: string[] = [];
  /** Joins anything to anything. */
  private readonly careless: boolean;
  /** How often a value is extreme; most circuits have none. */
  private readonly wild: number;
  /** How often a word that may be left out is given. */
  private readonly wordy: number;
  /** The period of all signals, or a multiple of theirs, in units of 60 ns, so that its parts are whole nanoseconds. */
  private readonly beat: number;
  private made = 0;
  readonly end: number;

  constructor(
    private readonly chance: Chance,
    private readonly size: Size,
  ) {
    this.careless = chance.happens(0.15);
    this.wild = chance.of(this.careless ? [0, 0.1, 0.3] : [0, 0, 0, 0, 0, 0.02]);
    this.wordy = chance.of([0.1, 0.3, 0.6]);
    this.beat = Math.round(10 ** chance.of(size.beats) * (1 + chance.share()));
    this.end = this.beat * 60e-9 * chance.of(size.periods);
  }

  text(): string {
    const { chance, lines, size } = this;
    this.sources();
    for (let k = chance.whole(1, size.nodes); k > 0; k--) this.node();
    const few = kinds.slice(0, 4);
    for (let k = chance.whole(size.parts[0], size.parts[1]); k > 0; k--)
      // Plain parts are the most common ones in any circuit.
      this.part(chance.happens(0.5) ? chance.of(few) : chance.of(kinds));
    const asked = [
      `check "size" ${chance.of(["peak", "floor", "mean", "rms", "swing"])} of ${chance.of([...this.nodes, ...this.signals, ...this.rails])} below 1 kV`,
    ];
    const parts = lines.filter((line) => !/^(signal|supply|coupling|tube) /.test(line));
    if (chance.happens(0.3) && parts.length > 0)
      asked.push(`case "odd" ${chance.of(parts).split(" ")[1]} ${chance.of(["open", "short"])}`);
    return `${[...chance.shuffled(lines), ...asked].join("\n")}\n`;
  }

  private sources(): void {
    const { chance } = this;
    const high = chance.of([5, 9, 12, 12, 24]);
    const levels = chance.of([[high], [-high, high], [5, 12], [-5, 5, 12], []]);
    for (const level of levels) {
      const name = `rail${this.rails.length + 1}`;
      this.rails.push(name);
      const soft = chance.of(["", "", ", output 0.1 ohm", ", sinks 0 A, output 1 ohm", ", limit 1 A"]);
      this.lines.push(
        `supply ${name} = ${this.careless ? this.amount(dimension.voltage, "any") : `${level} V`}${soft}`,
      );
    }
    for (let k = chance.whole(levels.length > 0 ? 0 : 1, 2); k > 0; k--) {
      this.signals.push(`s${k}`);
      this.lines.push(`signal s${k} = ${this.wave("V")}`);
    }
  }

  /** A place that leads to one that is there already, and by much to ground. */
  private node(): void {
    const { chance, nodes } = this;
    const name = `n${nodes.length + 1}`;
    if (!this.careless || chance.happens(0.7)) {
      this.lines.push(
        `resistor to_${name} ${name} -> ${this.place()} ${this.amount(dimension.resistance, "positive")}`,
      );
      this.lines.push(`resistor leak_${name} ${name} -> ground 1 Mohm`);
    }
    nodes.push(name);
  }

  /** Any place. */
  private place(): string {
    return this.chance.of([
      "ground",
      ...this.rails,
      ...this.signals,
      ...this.nodes,
      ...this.nodes,
      ...this.nodes,
    ]);
  }

  private otherThan(place: string): string {
    if (this.chance.happens(this.careless ? 0.03 : 0)) return place;
    const rest = ["ground", ...this.rails, ...this.signals, ...this.nodes, ...this.nodes].filter(
      (p) => p !== place,
    );
    return this.chance.of(rest);
  }

  /** Where the two ends of a part go; none where this circuit has no room for such a part. */
  private ends(kind: Kind): readonly [string, string] | undefined {
    const { chance } = this;
    if (kind.couples) {
      if (this.coils.length < 2) return undefined;
      // Each coil is coupled once, so that what is coupled can be built.
      const [a, b] = chance.shuffled(this.coils);
      if (!this.careless)
        this.coils.splice(0, this.coils.length, ...this.coils.filter((c) => c !== a && c !== b));
      return [a, b];
    }
    if (this.careless) {
      const from = this.place();
      return [from, this.otherThan(from)];
    }
    // What gives way to nothing, and what drives, has an end of its own.
    if (kind.drives || kind.ideal) {
      const free = chance.of(this.nodes);
      return kind.drives || chance.happens(0.5) ? [this.otherThan(free), free] : [free, this.otherThan(free)];
    }
    const from = chance.of(this.nodes);
    const to = this.otherThan(from);
    return chance.happens(0.5) ? [from, to] : [to, from];
  }

  private part(kind: Kind): void {
    const { chance } = this;
    const ends = this.ends(kind);
    if (!ends) return;
    const name = `x${++this.made}`;
    const one = kind.oneOf && chance.of(kind.oneOf);
    const given = kind.properties.filter((p) =>
      kind.oneOf?.includes(p.word) ? p.word === one : this.gives(p),
    );
    const has = (word: string) => given.some((p) => p.word === word);
    const needs = kind.properties.some((p) => p.word === "follows");
    const words = given
      .filter(({ word }) => {
        const other = hangsOn[word];
        return this.careless || !other || !kind.properties.some((p) => p.word === other) || has(other);
      })
      .map((property) => this.property(property, has));
    if (!this.careless && needs && has("follows") && !has("gain"))
      words.push(
        `gain ${kind.word === "voltage" ? "0.5" : this.amount({ volt: -1, ampere: 1, second: 0, kelvin: 0 }, "any")}`,
      );
    // An ideal voltage beside another one is a loop; behind a resistance it is not.
    if (!this.careless && kind.properties.some((p) => p.word === "behind") && !has("behind"))
      words.push(`behind ${this.amount(dimension.resistance, "positive")}`);
    if (kind.word === "inductor") this.coils.push(name);
    this.lines.push(
      `${kind.word} ${name} ${ends[0]} -> ${ends[1]} ${[this.shown(kind), ...words].filter((w) => w !== "").join(", ")}`,
    );
  }

  private shown({ value }: Kind): string {
    if (!value) return "";
    if (value.wave && this.chance.happens(0.3))
      return this.wave(sameDimension(value.dimension, dimension.voltage) ? "V" : "A");
    return this.amount(value.dimension, value.range);
  }

  private gives({ required, word }: PropertyWord): boolean {
    if (required) return this.chance.happens(this.careless ? 0.98 : 1);
    return this.chance.happens(word === "starts" ? 0.1 : this.wordy * 0.5);
  }

  private property({ word, takes, at, range = "any" }: PropertyWord, has: (word: string) => boolean): string {
    const { chance } = this;
    if (takes === "nothing") return word;
    if (takes === "place") return `${word} ${this.rail(word) ?? this.place()}`;
    if (takes === "control") return `${word} ${this.control(has)}`;
    // Levels lie within what signals do; what opens a switch lies on the other side of what closes it.
    if (!this.careless && word === "open") return `open ${chance.whole(0, 8) / 4} V`;
    if (!this.careless && word === "gain" && sameDimension(takes, dimension.number))
      return `gain ${chance.of([0.5, 2, 30, 200])}`;
    const behind = at ? ` at ${this.amount(at, "positive")}` : "";
    if (at && !this.careless) return `${word} ${chance.whole(0, 60)} % at ${chance.whole(4, 50)} V`;
    return `${word} ${this.amount(takes, range)}${behind}`;
  }

  /** A rail for a word that wants one. */
  private rail(word: string): string | undefined {
    const { rails } = this;
    if (this.careless || rails.length === 0) return undefined;
    if (word === "high" || word === "rail") return rails[rails.length - 1];
    if (word === "low") return rails.length > 1 ? rails[0] : "ground";
    return undefined;
  }

  private control(has: (word: string) => boolean): string {
    const { chance } = this;
    const level = this.careless ? this.amount(dimension.voltage, "any") : `${chance.whole(8, 12) / 4} V`;
    const side = !this.careless && has("open") ? "above" : chance.of(["above", "below"]);
    const gate = this.signals.length > 0 && chance.happens(0.7) ? chance.of(this.signals) : this.place();
    return chance.of([
      () => `while ${gate} ${side} ${level}`,
      () => `while ${gate} ${side} ${level}`,
      () => `from ${this.seconds(0.3)} to ${this.seconds(0.95)}`,
      () => `after ${this.seconds(0.5)}`,
    ])();
  }

  /** An instant of the run. */
  private seconds(share: number): string {
    const spread = 0.6 + 0.4 * this.chance.share();
    return `${Math.round(this.end * share * spread * 1e9)} ns`;
  }

  /** A number of a dimension within its range: usual, and at times extreme or ideal. */
  private amount(d: Dimension, range: Range): string {
    const { chance } = this;
    const [, low, high, unit] = usual.find(([one]) => sameDimension(one, d)) ?? [d, 0, 0, ""];
    if (range === "share" || range === "part") return `${chance.whole(0, range === "part" ? 99 : 100)} %`;
    let number = 10 ** (low + (high - low) * chance.share());
    if (chance.happens(this.wild)) number = chance.of([1e-18, 1e-12, 1e-9, 1e9, 1e12, 1e18, number]);
    if (range !== "positive" && chance.happens(0.1)) number = 0;
    const written = number.toExponential(2);
    return range === "any" && chance.happens(0.3) ? `(-${written} ${unit})` : `${written} ${unit}`.trim();
  }

  /** A wave that all others keep step with; in careless circuits also one that comes once. */
  private wave(unit: "V" | "A"): string {
    const { chance } = this;
    const level = () => `${(unit === "V" ? 1 : 1e-3) * (chance.whole(-20, 40) / 4)} ${unit}`;
    const period = (this.beat / chance.of([1, 1, 2, 3, 5])) * 60;
    const time = (share: number) => `${Math.round(period * share)} ns`;
    const every = this.careless && chance.happens(0.3) ? "" : `, every ${Math.round(period)} ns`;
    return chance.of([
      () => `sine ${level()} to ${level()}, at 1 / ${Math.round(period)} ns`,
      () =>
        `pulse ${level()} to ${level()}, wide ${time(0.3)}${every}${chance.happens(0.5) ? `, edges ${chance.of([time(0.1), "1 ns", "20 ns"])}` : ""}`,
      () =>
        `path ${level()} at 0 s, ${level()} at ${time(0.5)}, ${level()} at ${time(0.5)}, ${level()} at ${time(0.9)}${every}`,
      () => `path ${level()} at 0 s`,
    ])();
  }
}

/** Makes a circuit: most are small, of few parts and events, since what is wrong with one kind or two shows in these. */
export function circuit(seed: number): Circuit {
  return made(seed, seed % large === 0 ? ordinary : small);
}

/** Makes a circuit of a few parts. */
export const smallCircuit = (seed: number): Circuit => made(seed, small);

/** Makes a circuit of ordinary size. */
export const ordinaryCircuit = (seed: number): Circuit => made(seed, ordinary);

function made(seed: number, size: Size): Circuit {
  const chance = new Chance(seed);
  const maker = new Maker(chance, size);
  const text = maker.text();
  return {
    text,
    until: `${maker.end.toExponential(2)} s`,
    start: chance.of(["steady", "steady", "rest", "settled"] as const),
  };
}
