// The two contracts of a part kind. `Kind` says how the part is written: its words, their dimensions and
// ranges. `Device` says how it behaves: a small set of modes, each of them linear, the elements it stamps in
// each mode, and the guards that end a mode. A kind knows nothing of the parts that stand beside it.

import type { Dimension } from "../base/dimension.js";
import type { Fraction } from "../base/fraction.js";
import type { Range } from "./range.js";

/** Index of a place; 0 is ground. */
export type Place = number;

/** A level that an element holds: a constant in SI units, or a source by its index. */
export type Level =
  | number
  | {
      /** Number of the source, as the march counts them; a kind only hands on what it was given. */
      readonly source: number;
    };

/** What steers an element besides its level: a voltage between two places, times a gain (1, or A/V). */
export interface Steer {
  /** The place whose voltage counts positive. */
  readonly a: Place;
  /** The place whose voltage is taken from it. */
  readonly b: Place;
  /** Of a voltage a plain number, of a current in A/V. */
  readonly gain: number;
}

/** An inductor as `Stamp` numbers it. */
export type Coil = number;

/** Where a device puts the elements that stand for it in one mode. Currents count from `a` to `b`. */
export interface Stamp {
  /** A resistor; 0 ohm is an ideal connection, Infinity none at all. */
  resistor(a: Place, b: Place, ohms: number): void;
  /** A voltage: v(a) − v(b) = level + ohms · i, plus what steers it. */
  hold(a: Place, b: Place, level: Level, ohms?: number, steer?: Steer): void;
  /** A current through the part from a to b: level, plus what steers it. */
  push(a: Place, b: Place, level: Level, steer?: Steer): void;
  /**
   * A capacitor: its charge is farads · v + rest, its energy farads · v² / 2 + energy. All three may differ from mode to mode;
   * the charge stays when the mode changes, so the voltage does where the two charges meet.
   */
  capacitor(a: Place, b: Place, farads: number, rest?: number, energy?: number): void;
  /** An inductor: its flux is henries · i + rest, and what coupled coils add. Every mode stamps the same ones, in order. */
  inductor(a: Place, b: Place, henries: number, rest?: number): Coil;
  /** Couples two inductors of this device: M = coupling · √(L₁ L₂), |coupling| < 1, positive where both begin at their dots. */
  mutual(one: Coil, other: Coil, coupling: number): void;
}

/**
 * What ends a mode: a voltage between two places, or the current of the device's n-th element of this mode,
 * on the wrong side of a level. The device then goes to mode `to`.
 */
export interface Guard {
  /** What is watched. */
  readonly of:
    | {
        /** The place whose voltage counts positive. */
        readonly a: Place;
        /** The place whose voltage is taken from it. */
        readonly b: Place;
      }
    | {
        /** Which element of this mode, in the order of stamping from 0; its current from a to b is watched. */
        readonly element: number;
      };
  /** The side on which the mode ends. At the level itself it still holds. */
  readonly side: "above" | "below";
  /** V or A. */
  readonly level: number;
  /** The mode that follows. */
  readonly to: number;
  /** True for the guard that watches the control of a switch: left out where the control is known beforehand. */
  readonly control?: boolean;
  /**
   * Set where the two modes move everything alike as long as these places are held: they differ in whose current it is,
   * which is then told when someone looks, and cuts no leap.
   */
  readonly alike?: readonly Place[];
}

/** What closes a switch: a place's voltage, or times of the run. */
export type Control =
  | {
      /** By the voltage of a place. */
      readonly type: "level";
      /** The place that is looked at. */
      readonly place: Place;
      /** On which side of its level it closes. */
      readonly side: "above" | "below";
      /** Closes beyond this level, V. */
      readonly close: Fraction;
      /** Opens on the other side of this level, V. */
      readonly open: Fraction;
    }
  | {
      /** By the time of the run. */
      readonly type: "times";
      /** Closes at this instant, s. */
      readonly from: Fraction;
      /** Opens at this instant, s; never unless given. */
      readonly to?: Fraction;
    };

/** A mode that ends by itself. */
export interface Dwell {
  /** How long it lasts, s. */
  readonly lasts: Fraction;
  /** The mode after it. */
  readonly to: number;
  /** A time already running goes on instead of starting anew. */
  readonly keeps?: boolean;
}

/** Where an output that can go no farther stands: at its upper or lower limit, or, as these leave no room, at both. */
export type LimitSide = "upper" | "lower" | "both";

/** A part at work. Modes are numbered from 0. */
export interface Device {
  /** The modes' names, e.g. `off`, `on`. */
  readonly modes: readonly string[];
  /** Puts the elements that stand for it in a mode. */
  stamp(mode: number, into: Stamp): void;
  /** What ends a mode; empty for one that nothing ends. */
  guards(mode: number): readonly Guard[];
  /** Set where a signal or the clock commands the mode. */
  readonly control?: Control;
  /** The mode that follows from `mode` when the control says closed or open. */
  obey?(mode: number, closed: boolean): number;
  /** Set for a mode that ends by itself; at the start of a run what would end it has long been. */
  dwell?(mode: number): Dwell | undefined;
  /** The limit at which the output stands in a mode; set where a kind is `limited`. */
  limit?(mode: number): LimitSide | undefined;
  /** Whether the output goes as fast as it can in a mode; set where a kind is `limited`. */
  slews?(mode: number): boolean;
  /** What a run is to be told of that was in a mode, as words behind the part's name; none for most. */
  remark?(mode: number): string | undefined;
  /** Voltage or current that a reactive part is given at the start; absent: the circuit decides. */
  readonly initial?: number;
}

/** How a part may fail; a rail is dead, open or low, a signal stops. */
export type FailureKind = "open" | "short" | "dead" | "low" | "stopped";

/**
 * What a part is where it gives way to nothing. A `voltage`: from tail to head stands its value, or its waveform, whatever
 * current flows. A `steered voltage`: something else stands there, whatever current flows. A `current`: its current flows,
 * whatever voltage that takes. A `starving current`: the same, but nothing where no voltage is left for it.
 */
export type Ideal = "voltage" | "steered voltage" | "current" | "starving current";

/** What a part says of itself, for the facts of its kind that hang on that. */
export interface Said {
  /** What its properties say, by their words, in SI units. */
  readonly amounts: ReadonlyMap<
    string,
    {
      /** Exact, SI. */
      readonly value: Fraction;
    }
  >;
  /** The places that its properties name, by their words. */
  readonly places: ReadonlyMap<string, Place>;
  /** Words that stand alone. */
  readonly flags?: ReadonlySet<string>;
}

/** Which way a rail delivers, and how much it takes. */
export interface Rail {
  /** True where it stands below ground, and so delivers along its arrow. */
  readonly below: boolean;
  /** The most that it takes, A; whatever comes unless given. */
  readonly sinks?: Fraction;
}

/** Where a beam stands and how bright it is: by two places, and by the voltage from tail to head. Voltages in volts. */
export interface BeamFigures {
  /** The place whose voltage moves it from left to right. */
  readonly across: Place;
  /** The place whose voltage moves it from top to bottom. */
  readonly down: Place;
  /** Voltage of `across` at the left edge of the screen. */
  readonly left: number;
  /** Voltage of `across` at the right edge. */
  readonly right: number;
  /** Voltage of `down` at the top edge. */
  readonly top: number;
  /** Voltage of `down` at the bottom edge. */
  readonly bottom: number;
  /** Voltage from tail to head at which it is dark. */
  readonly cutoff: number;
  /** Voltage from tail to head at which it is white. */
  readonly full: number;
  /** Power of the drive that its light follows. */
  readonly gamma: number;
  /** Width of the spot as a share of the picture's height. */
  readonly spot: number;
  /** Width of the screen over its height. */
  readonly aspect: number;
}

/** A property word of a kind. */
export interface PropertyWord {
  /** As a statement says it: `drop`, `on`. Lower case. */
  readonly word: string;
  /** A dimension, another place, a control (`while ... above ...`, `from ... to ...`), or nothing. */
  readonly takes: Dimension | "place" | "control" | "nothing";
  /** What its value may be; anything unless given. */
  readonly range?: Range;
  /** Set where the value holds at another one, greater than zero, which must stand behind it: `loses 20 % at 5 V`. */
  readonly at?: Dimension;
  /** Of a place: it may be joined to nothing else. */
  readonly mayHang?: boolean;
  /** Of a control: the property that says at which level it opens. */
  readonly opens?: string;
  /** Another property that must not stand beside it. */
  readonly excludes?: string;
  /** True where a statement without it is refused. */
  readonly required?: boolean;
  /** Of an amount: what it is where a statement does not say it, so that it can be set all the same. */
  readonly usual?: Fraction;
  /** One line for the language reference. */
  readonly summary: string;
}

/** A part as the design hands it over: places, values in exact SI, sources by index. */
export interface Resolved {
  /** The place before the arrow. */
  readonly tail: Place;
  /** The place behind it. */
  readonly head: Place;
  /** The value after the places, absent where a wave stands. */
  readonly value?: Fraction;
  /** What the part follows where a waveform stands: a level that the march supplies. */
  readonly level?: Level;
  /** What its properties say, by their words, exact and in SI units; see `amountOf`. */
  readonly amounts: ReadonlyMap<string, Fraction>;
  /** The places that its properties name, by their words. */
  readonly places: ReadonlyMap<string, Place>;
  /** Words that stand alone. */
  readonly flags: ReadonlySet<string>;
  /** What commands it, where a property of its kind takes a control. */
  readonly control?: Control;
  /** Gives a place of the part's own. */
  readonly inner: () => Place;
}

/** How a part is written, and how it is made. */
export interface Kind {
  /** The trade's word. */
  readonly word: string;
  /** One line for the language reference. */
  readonly summary: string;
  /**
   * What it obeys, as the language reference says it: mode by mode what holds, and while what. v is the voltage from tail to
   * head, i the current along the arrow, of a part that drives the one out of its head.
   */
  readonly equations: readonly string[];
  /** Set where a value stands behind the places. */
  readonly value?: {
    /** What it is in. */
    readonly dimension: Dimension;
    /** What it may be. */
    readonly range: Range;
    /** A waveform may stand in its place. */
    readonly wave?: boolean;
  };
  /** What may be said behind the value. */
  readonly properties: readonly PropertyWord[];
  /** Words of which exactly one must stand among its properties. */
  readonly oneOf?: readonly string[];
  /** True where its voltages and currents deliver energy to the circuit. */
  readonly delivers?: boolean;
  /** True where it gives back what it takes up, and gets no warmer. */
  readonly stores?: boolean;
  /** True where its tail only looks: the current of the part is then the one that leaves it at its head. */
  readonly drives?: boolean;
  /** True where its output (its head) has limits that it can stand at, so that it can be asked how it clips. */
  readonly limited?: boolean;
  /** Set where a hand turns it: the property that says where it stands. */
  readonly turns?: string;
  /** Set where it stands between two parts of that kind in place of places. */
  readonly couples?: string;
  /** True where its statement makes a place of the same name, which needs no neighbour. */
  readonly ownPlace?: boolean;
  /** The ways in which it may fail; open and short unless given. */
  readonly fails?: readonly FailureKind[];
  /** What it is where it gives way to nothing; undefined where it gives way. */
  ideal?(said: Said): Ideal | undefined;
  /** Set for a rail. */
  rail?(said: Said): Rail;
  /** Set where it bears a beam that draws a picture. */
  beam?(said: Said): BeamFigures;
  /** Whether a steady start finds it where it stands with every signal at its mean; its word `starts` then says that. */
  settles?(said: Said): boolean;
  /** Makes the part at work; the same answer for the same part. */
  make(part: Resolved): Device;
}

/** A kind with its article: `an amplifier`. */
export function called({ word }: Pick<Kind, "word">): string {
  return `${/^(?!one)[aeiou]/.test(word) ? "an" : "a"} ${word}`;
}
