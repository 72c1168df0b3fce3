// The two contracts of a part kind. `Kind` says how the part is written: its words, their dimensions and
// ranges. `Device` says how it behaves: a small set of modes, each of them linear, the elements it stamps in
// each mode, and the guards that end a mode. A kind knows nothing of the parts around it.

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

/** What steers an element in addition to its level: a voltage between two places, times a gain (1, or A/V). */
export interface Steer {
  /** The place whose voltage counts positive. */
  readonly a: Place;
  /** The place whose voltage is taken from it. */
  readonly b: Place;
  /** A plain number for a voltage, A/V for a current. */
  readonly gain: number;
}

/** An inductor as `Stamp` numbers it. */
export type Coil = number;

/** Takes the elements that represent a device in one mode. Currents count from `a` to `b`. */
export interface Stamp {
  /** A resistor; 0 ohm is an ideal connection, Infinity none at all. */
  resistor(a: Place, b: Place, ohms: number): void;
  /** A voltage: v(a) − v(b) = level + ohms · i, plus what steers it. */
  hold(a: Place, b: Place, level: Level, ohms?: number, steer?: Steer): void;
  /** A current through the part from a to b: level, plus what steers it. */
  push(a: Place, b: Place, level: Level, steer?: Steer): void;
  /**
   * A capacitor: its charge is farads · v + rest, its energy farads · v² / 2 + energy. All three may differ from mode to mode.
   * A change of mode keeps the charge, and so the voltage too, if it comes where the charges of both modes are equal.
   */
  capacitor(a: Place, b: Place, farads: number, rest?: number, energy?: number): void;
  /** An inductor: its flux is henries · i + rest, plus that of coupled coils. Every mode stamps the same ones, in order. */
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
  /** True for the guard that watches the control of a switch: left out if the control is known before the run. */
  readonly control?: boolean;
  /**
   * Set if both modes move everything alike as long as these places are held: they differ only in whose current it is.
   * The change is then worked out when someone looks, and ends no leap.
   */
  readonly alike?: readonly Place[];
}

/** What commands a switch: the voltage of a place, or times of the run. */
export type Control =
  | {
      /** By the voltage of a place. */
      readonly type: "level";
      /** The place whose voltage is watched. */
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

/** The limit at which an output stands: upper or lower, or both, if they leave no room between them. */
export type LimitSide = "upper" | "lower" | "both";

/** A part at work. Modes are numbered from 0. */
export interface Device {
  /** The modes' names, e.g. `off`, `on`. */
  readonly modes: readonly string[];
  /** Stamps the elements that represent it in a mode. */
  stamp(mode: number, into: Stamp): void;
  /** What ends a mode; empty for one that nothing ends. */
  guards(mode: number): readonly Guard[];
  /** Set where a signal or the clock commands the mode. */
  readonly control?: Control;
  /** The mode that follows from `mode` when the control says closed or open. */
  obey?(mode: number, closed: boolean): number;
  /** Set for a mode that ends by itself; at the start of a run its time has long passed. */
  dwell?(mode: number): Dwell | undefined;
  /** The limit at which the output stands in a mode; set where a kind is `limited`. */
  limit?(mode: number): LimitSide | undefined;
  /** Whether the output moves as fast as it can in a mode; set where a kind is `limited`. */
  slews?(mode: number): boolean;
  /**
   * Whether the current of an element, by its number in the order of stamping, counts in the part's own; all do unless given. To be
   * given where an input that carries current may be tied to the end at which the part's current is taken.
   */
  counts?(mode: number, element: number): boolean;
  /** What to report of a run that was in a mode, as words that follow the part's name; undefined for most. */
  remark?(mode: number): string | undefined;
  /** Voltage or current of a reactive part at the start, where given; absent: the circuit decides. */
  readonly initial?: number;
}

/** How a part may fail: a rail is dead, open or low, a signal stops. */
export type FailureKind = "open" | "short" | "dead" | "low" | "stopped";

/**
 * The sort of ideal source that a part is. `voltage`: its value or waveform stands from tail to head at any current.
 * `steered voltage`: another voltage stands there at any current. `current`: its current flows at any voltage.
 * `starving current`: the same, but none flows where no voltage is left for it.
 */
export type Ideal = "voltage" | "steered voltage" | "current" | "starving current";

/** What the statement of a part says, for the facts of its kind that depend on it. */
export interface Said {
  /** Values of its properties, by their words, in SI units. */
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

/** Which way a rail delivers, and how much it sinks. */
export interface Rail {
  /** True if it is below ground, and so delivers along its arrow. */
  readonly below: boolean;
  /** The most that it sinks, A; no limit unless given. */
  readonly sinks?: Fraction;
}

/** What sets the position of a beam (two places) and its brightness (the voltage from tail to head). Voltages in volts. */
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
  /** As a statement has it: `drop`, `on`. Lower case. */
  readonly word: string;
  /** A dimension, another place, a control (`while ... above ...`, `from ... to ...`), or nothing. */
  readonly takes: Dimension | "place" | "control" | "nothing";
  /** The range of its value; any value unless given. */
  readonly range?: Range;
  /** Set if the value holds at another quantity, greater than zero, which must follow it: `loses 20 % at 5 V`. */
  readonly at?: Dimension;
  /** For a place: nothing else need be joined to it. */
  readonly mayHang?: boolean;
  /** For a control: the property that gives the level at which it opens. */
  readonly opens?: string;
  /** Another property that must not stand with it. */
  readonly excludes?: string;
  /** True if a statement without it is refused. */
  readonly required?: boolean;
  /** For an amount: its default, so that it can be changed even where a statement leaves it out. */
  readonly usual?: Fraction;
  /** One line for the language reference. */
  readonly summary: string;
}

/** A part as the design hands it over: places, values in exact SI, sources by index. */
export interface Resolved {
  /** The place before the arrow. */
  readonly tail: Place;
  /** The place after the arrow. */
  readonly head: Place;
  /** The value after the places; absent if a waveform stands there. */
  readonly value?: Fraction;
  /** In place of a value: the level of the waveform that the part follows, supplied by the march. */
  readonly level?: Level;
  /** Values of its properties, by their words, exact and in SI units; see `amountOf`. */
  readonly amounts: ReadonlyMap<string, Fraction>;
  /** The places that its properties name, by their words. */
  readonly places: ReadonlyMap<string, Place>;
  /** Words that stand alone. */
  readonly flags: ReadonlySet<string>;
  /** What commands it, if a property of its kind takes a control. */
  readonly control?: Control;
  /** Makes a new place inside the part. */
  readonly inner: () => Place;
}

/** How a part is written, and how it is made. */
export interface Kind {
  /** The trade's word. */
  readonly word: string;
  /** One line for the language reference. */
  readonly summary: string;
  /**
   * The equations it obeys, for the language reference: for each mode what holds, and on which condition. v is the voltage
   * from tail to head, i the current along the arrow, or out of the head for a part that drives.
   */
  readonly equations: readonly string[];
  /** Set if a value follows the places. */
  readonly value?: {
    /** Its dimension. */
    readonly dimension: Dimension;
    /** Its range. */
    readonly range: Range;
    /** A waveform may stand in its place. */
    readonly wave?: boolean;
  };
  /** The properties that may follow. */
  readonly properties: readonly PropertyWord[];
  /** Words of which exactly one must stand among its properties. */
  readonly oneOf?: readonly string[];
  /** True if it can deliver energy to the circuit. */
  readonly delivers?: boolean;
  /** True if it gives back the energy it takes up, and dissipates none. */
  readonly stores?: boolean;
  /** True if its tail only senses a voltage: the current of the part is then the one that leaves it at its head. */
  readonly drives?: boolean;
  /** True if its output (its head) can stand at limits, so that its clipping can be reported. */
  readonly limited?: boolean;
  /** Set for a part that is turned by hand: the property that gives its position. */
  readonly turns?: string;
  /** Set if it stands between two parts of that kind instead of between places. */
  readonly couples?: string;
  /** True if its statement makes a place of the same name, which need not be joined to anything. */
  readonly ownPlace?: boolean;
  /** The ways in which it may fail; open and short unless given. */
  readonly fails?: readonly FailureKind[];
  /** The sort of ideal source that it is; undefined if it is none. */
  ideal?(said: Said): Ideal | undefined;
  /** Set for a rail. */
  rail?(said: Said): Rail;
  /** Set if it has a beam that draws a picture. */
  beam?(said: Said): BeamFigures;
  /** Whether a steady start finds its state with every signal at its mean and sets it as the value of its `starts`. */
  settles?(said: Said): boolean;
  /** Makes the device; the same part always gives the same one. */
  make(part: Resolved): Device;
}

/** A kind with its article: `an amplifier`. */
export function called({ word }: Pick<Kind, "word">): string {
  return `${/^(?!one)[aeiou]/.test(word) ? "an" : "a"} ${word}`;
}
