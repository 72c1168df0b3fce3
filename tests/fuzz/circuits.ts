// Random circuits of every kind of part, with values from the ordinary to the extreme and the ideal. Take a seed; give a design
// text and how long to run it. Always: the kinds and their words come from the table of the parts themselves, so a new kind is
// among them at once; the same seed gives the same circuit. They are sound texts as a rule, not always sound circuits.

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
  [dimension.voltage, -2, 1.3, "V"],
  [dimension.current, -6, -1, "A"],
  [dimension.resistance, 0, 6, "ohm"],
  [dimension.capacitance, -11, -5, "F"],
  [dimension.inductance, -6, 0, "H"],
  [dimension.time, -7, -4, "s"],
  [dimension.frequency, 2, 7, "Hz"],
  [{ volt: 1, ampere: 0, second: -1, kelvin: 0 }, 3, 8, "V/s"],
  [{ volt: -1, ampere: 1, second: 0, kelvin: 0 }, -5, -1, "A/V"],
  [dimension.number, -1, 1, ""],
];

/** One circuit's words, values and places. */
class Maker {
  private readonly places: string[] = ["ground"];
  /** How often a value is extreme; most circuits have none. */
  private readonly wild: number;
  /** How often a word that may be left out is given. */
  private readonly wordy: number;
  readonly end: number;

  constructor(private readonly chance: Chance) {
    this.wild = chance.of([0, 0, 0.05, 0.3]);
    this.wordy = chance.of([0.1, 0.4, 0.8]);
    this.end = 10 ** (-5 + 3 * chance.share());
  }

  text(): string {
    const { chance } = this;
    const lines: string[] = [];
    for (let k = chance.whole(1, 3); k > 0; k--) {
      const name = `s${k}`;
      this.places.push(name);
      lines.push(
        chance.happens(0.4)
          ? `supply ${name} = ${this.amount(dimension.voltage, "any")}${chance.happens(0.2) ? ", sinks 0 A, output 1 ohm" : ""}`
          : `signal ${name} = ${this.wave("V")}`,
      );
    }
    for (let k = chance.whole(1, 5); k > 0; k--) this.places.push(`n${k}`);
    for (let k = chance.whole(2, 12); k > 0; k--) {
      // Plain parts are the most common ones in any circuit.
      const kind = chance.happens(0.5) ? chance.of(kinds.slice(0, 4)) : chance.of(kinds);
      lines.push(this.part(kind, `x${k}`));
    }
    // Mostly nothing floats.
    if (chance.happens(0.8))
      for (const place of this.places.slice(1))
        lines.push(`resistor leak_${place} ${place} -> ground 1 Mohm`);
    const place = chance.of(this.places.slice(1));
    const asked = [
      `check "size" ${chance.of(["peak", "floor", "mean", "rms", "swing"])} of ${place} below 1 kV`,
    ];
    if (chance.happens(0.3)) asked.push(`case "odd" x1 ${chance.of(["open", "short"])}`);
    return `${[...chance.shuffled(lines), ...asked].join("\n")}\n`;
  }

  private place(): string {
    return this.chance.of(this.places);
  }

  private part(kind: Kind, name: string): string {
    const { chance } = this;
    const one = kind.oneOf && chance.of(kind.oneOf);
    const words: string[] = [];
    for (const property of kind.properties) {
      if (kind.oneOf?.includes(property.word) ? property.word !== one : !this.gives(property)) continue;
      words.push(this.property(property));
    }
    const from = this.place();
    const to = chance.happens(0.97) ? chance.of(this.places.filter((p) => p !== from)) : from;
    const { value } = kind;
    const shown =
      value?.wave && chance.happens(0.3)
        ? this.wave(sameDimension(value.dimension, dimension.voltage) ? "V" : "A")
        : value
          ? this.amount(value.dimension, value.range)
          : "";
    return `${kind.word} ${name} ${from} -> ${to} ${[shown, ...words].filter((w) => w !== "").join(", ")}`;
  }

  private gives({ required }: PropertyWord): boolean {
    return required ? this.chance.happens(0.99) : this.chance.happens(this.wordy * 0.5);
  }

  private property({ word, takes, range = "any" }: PropertyWord): string {
    if (takes === "nothing") return word;
    if (takes === "place") return `${word} ${this.place()}`;
    if (takes === "control") {
      const { chance } = this;
      return chance.of([
        () =>
          `${word} while ${this.place()} ${chance.of(["above", "below"])} ${this.amount(dimension.voltage, "any")}`,
        () => `${word} from ${this.seconds(0.3)} to ${this.seconds(0.7)}`,
        () => `${word} after ${this.seconds(0.5)}`,
      ])();
    }
    return `${word} ${this.amount(takes, range)}`;
  }

  private seconds(share: number): string {
    return `${(this.end * share * (0.5 + this.chance.share())).toExponential(2)} s`;
  }

  /** A number of a dimension within its range: usual, and at times extreme or ideal. */
  private amount(d: Dimension, range: Range): string {
    const { chance } = this;
    const [, low, high, unit] = usual.find(([one]) => sameDimension(one, d)) ?? [d, 0, 0, ""];
    if (range === "share") return `${chance.whole(0, 100)} %`;
    let number = 10 ** (low + (high - low) * chance.share());
    if (chance.happens(this.wild)) number = chance.of([1e-18, 1e-12, 1e-9, 1e9, 1e12, 1e18, number]);
    if (range !== "positive" && chance.happens(0.1)) number = 0;
    const written = number.toExponential(2);
    return range === "any" && chance.happens(0.3) ? `(-${written} ${unit})` : `${written} ${unit}`.trim();
  }

  private wave(unit: "V" | "A"): string {
    const { chance } = this;
    const level = () => `${(unit === "V" ? 1 : 1e-3) * (chance.whole(-40, 40) / 4)} ${unit}`;
    const period = (this.end * 10 ** (-2 * chance.share())) / 2;
    const seconds = (share: number) => `${(period * share).toExponential(2)} s`;
    return chance.of([
      () => `sine ${level()} to ${level()}, at ${(1 / period).toExponential(2)} Hz`,
      () =>
        `pulse ${level()} to ${level()}, wide ${seconds(0.3)}, every ${seconds(1)}${chance.happens(0.5) ? `, edges ${seconds(chance.of([0.1, 1e-3, 1e-6]))}` : ""}`,
      () =>
        `path ${level()} at 0 s, ${level()} at ${seconds(0.5)}, ${level()} at ${seconds(0.5)}, ${level()} at ${seconds(1)}`,
      () => level(),
    ])();
  }
}

/** Makes a circuit. */
export function circuit(seed: number): Circuit {
  const chance = new Chance(seed);
  const maker = new Maker(chance);
  const text = maker.text();
  return {
    text,
    until: `${maker.end.toExponential(2)} s`,
    start: chance.of(["steady", "steady", "rest", "settled"] as const),
  };
}
