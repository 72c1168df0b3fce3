// Graphical symbols after IEC 60617. A symbol of two pins lies along the x axis from its tail at 0 to its head at `long`;
// the caller rotates it. A kind's symbol goes by its word; a kind without one is a box, and its label says the word.
import { element } from "../report/markup.js";

/** Length of a part of two pins with its leads, px. */
export const long = 60;
/** How far a symbol reaches to either side of its axis, px. */
export const half = 12;

const path = (d: string, look?: string) => element("path", { d, class: look });
const circle = (cx: number, cy: number, r: number, look?: string) =>
  element("circle", { cx, cy, r, class: look });

const resistor =
  path("M0 0H14M46 0H60") + element("rect", { x: 14, y: -6, width: 32, height: 12, class: "paper" });

/** How far from the tail of a switch its blade is hinged, and how far open it stands so far along. */
const hinge = 18;
export const bladeAt = (along: number) => Math.max(0, (along - hinge) / 2);

/** A source that makes a wave: its course stands upright in the circle, as the source itself does on its rail. */
const making = (course: string) =>
  path("M0 0H19M41 0H60") +
  circle(30, 0, 11, "paper") +
  element("g", { transform: "translate(30 0) rotate(-90)" }, path(course));

const inductor = path(
  "M0 0H12A4.5 4.5 0 0 1 21 0A4.5 4.5 0 0 1 30 0A4.5 4.5 0 0 1 39 0A4.5 4.5 0 0 1 48 0H60",
);

/** Symbols of two pins by the words of their kinds, or by how they look where that says more. */
const alongAxis: Readonly<Record<string, string>> = {
  resistor,
  potentiometer: resistor,
  capacitor: path("M0 0H27M33 0H60M27 -10V10M33 -10V10"),
  inductor,
  // A coil that is coupled: a dot beside its tail (IEC 60617-6, marks of instantaneous polarity, from memory).
  winding: inductor + circle(10, -7, 2, "solid"),
  diode: path("M0 0H60") + path("M22 -8V8L38 0Z", "paper") + path("M38 -8V8"),
  switch: path(`M0 0H${hinge}L40 ${-bladeAt(40)}M42 0H60`),
  // Tail above head: the plus is at the tail.
  voltage: path("M0 0H60") + circle(30, 0, 11) + path("M12 -9V-3M9 -6H15"),
  supply: path("M0 0H26M34 0H60M26 -11V11M34 -5V5M16 -9V-3M13 -6H19"),
  // A supply below ground: the plus is at the head.
  minus: path("M0 0H26M34 0H60M26 -5V5M34 -11V11M44 -9V-3M41 -6H47"),
  // Waveforms after IEC 60617-2, from memory: a pulse, alternating, a sawtooth.
  signal: making("M-7 4H-3V-4H3V4H7"),
  sine: making("M-7 0C-5 -6 -2 -6 0 0S5 6 7 0"),
  sawtooth: making("M-7 4L0 -4V4L7 -4V4"),
  current:
    path("M0 0H19M41 0H60") + circle(30, 0, 11) + path("M30 -11V11") + path("M45 -4L52 0L45 4Z", "solid"),
};

/** Whether a kind of two pins has a symbol of its own. */
export const hasSymbol = (kind: string) => kind in alongAxis;

/** Markup of a part of two pins, from its tail at (0, 0) to its head at (`long`, 0). */
export function twoPins(kind: string): string {
  return (
    alongAxis[kind] ??
    path("M0 0H12M48 0H60") +
      element("rect", { x: 12, y: -9, width: 36, height: 18, class: "paper" }) +
      path("M40 -9L48 0L40 9")
  );
}

/** What the box of a part of several pins says it does: letters, and strokes for signs that many fonts lack. */
export interface Qualifier {
  readonly words: string;
  /** Offset of the words' middle from that of the box, px. */
  readonly shift: number;
  /** Markup around the middle of the box. */
  readonly strokes: string;
}

const said = (words: string, shift = 0, d = ""): Qualifier => ({
  words,
  shift,
  strokes: d === "" ? "" : path(d),
});
const or = said("1", 4, "M-8 -4L-1 -1L-8 2M-8 5H-1");
const qualifiers: Readonly<Record<string, Qualifier>> = {
  and: said("&"),
  nand: said("&"),
  or,
  nor: or,
  xor: said("=1"),
  comparator: said("", 0, "M-5 5V0A5 5 0 0 1 5 0V5"),
  inverter: said("1"),
  oneshot: said("1", -6, "M-1 4H1V-4H7V4H9"),
  bistable: said(""),
};

/** The words in the box of a part of several pins (IEC 60617-12: & and, ≥1 or, =1 exclusive or, 1 and a pulse one-shot). */
export function qualifier(kind: string, words: ReadonlySet<string>): Qualifier {
  if (kind !== "gate") return qualifiers[kind] ?? said(kind);
  const does = ["and", "or", "xor", "nand", "nor"].find((word) => words.has(word));
  return does === undefined ? said("") : qualifiers[does];
}

/** True if the output has an inversion ring. */
export function inverts(kind: string, words: ReadonlySet<string>): boolean {
  return kind === "inverter" || words.has("nand") || words.has("nor");
}

/** An amplifier: a triangle of this height from its inputs at x = 0 to its output. */
export function triangle(width: number, height: number): string {
  return path(`M0 0V${height}L${width} ${height / 2}Z`, "paper");
}

/** A box of several pins. */
export function box(width: number, height: number, ring: boolean): string {
  const body = element("rect", { x: 0, y: 0, width: ring ? width - 7 : width, height, class: "paper" });
  return ring ? body + circle(width - 3.5, height / 2, 3.5, "paper") : body;
}

/** A picture tube: neck at the left, reaching `neck` up and down from the middle, screen at the right. */
export function pictureTube(width: number, height: number, neck: number): string {
  const middle = height / 2;
  return (
    path(
      `M0 ${middle - neck}H${width * 0.45}L${width - 10} 0Q${width} ${middle} ${width - 10} ${height}L${width * 0.45} ${middle + neck}H0Z`,
      "paper",
    ) + path(`M6 ${middle - 6}V${middle + 6}M12 ${middle}H${width - 8}`, "dash")
  );
}

/** How far inside its box the lower edge of a picture tube lies, `x` from its left. */
export function tubeInset(width: number, height: number, neck: number, x: number): number {
  const [flare, rim] = [width * 0.45, width - 10];
  const way = Math.min(1, Math.max(0, (x - flare) / (rim - flare)));
  return (1 - way) * (height / 2 - neck);
}

/** A transistor: base at the left (0, 30), upper end at (`reach`, 0), lower end at (`reach`, 60). */
export function transistorBody(reach: number, pnp: boolean): string {
  const bar = reach - 18;
  return (
    path(`M0 30H${bar}M${bar} 16V44M${bar} 24L${reach} 12V0M${bar} 36L${reach} 48V60`) +
    path(
      pnp
        ? `M${bar + 3} 26L${bar + 12} 24.5L${bar + 8} 17Z`
        : `M${reach - 2} 46.5L${reach - 11} 45.5L${reach - 6} 38.5Z`,
      "solid",
    ) +
    circle(reach - 8, 30, 19)
  );
}
