// Parts of three or more pins: transistors and potentiometers, amplifiers, logic, tubes.
import { coordinate, element } from "../report/markup.js";
import {
  type Box,
  type End,
  labelGap,
  labelWidth,
  type PartLabel,
  type Pin,
  pinLead,
  pinStep,
  railRoom,
  railWidth,
  sayLabel,
  snap,
  type TwoPins,
} from "./boxes.js";
import { type Canvas, type DrawnPin, lineHeight, wide } from "./canvas.js";
import {
  box as boxBody,
  half,
  inverts,
  long,
  pictureTube,
  type Qualifier,
  qualifier,
  transistorBody,
  triangle,
  tubeInset,
  twoPins,
} from "./symbols.js";

/** How a part of three pins stands. */
export interface Stance {
  /** Where its third pin is: at its left (a base) or at its right (a tap). */
  readonly side: "left" | "right";
  readonly pnp: boolean;
  /** Whether one of its ends leaves at the left, where it comes from. */
  readonly back: (end: End) => boolean;
}

/** A part of three pins: its ends above and below, a third beside it. */
export function tapped(pair: TwoPins, third: End, { side, pnp, back }: Stance): Box {
  const { label } = pair;
  // A potentiometer's upper end is the one at the higher rail.
  const flip =
    side === "right" &&
    (pair.tail.rail?.side === "down" || (pair.head.rail?.side === "up" && !pair.tail.rail));
  const [tail, head] = flip ? [pair.head, pair.tail] : [pair.tail, pair.head];
  const top = railRoom;
  const base = side === "left";
  const room = Math.max(half + 6, railWidth(tail) / 2 + 2, railWidth(head) / 2 + 2);
  const centre = (base ? 44 : room) + (third.rail && base ? wide(third.rail.place) + 8 : 0);
  const away = (end: End) => (back(end) ? "left" : "right");
  const words = labelWidth(label);
  // A tap leaves at the right, below the part's label.
  const width =
    centre + half + 8 + Math.max(words, third.rail && !base ? wide(third.rail.place) + 8 : 0, 20) + labelGap;
  const mid = top + long / 2;
  const pins: Pin[] = [];
  if (!tail.rail) pins.push({ net: tail.net, side: away(tail), y: top });
  if (!head.rail) pins.push({ net: head.net, side: away(head), y: top + long });
  if (!third.rail) pins.push({ net: third.net, side, y: mid });
  return {
    width,
    height: top + long + railRoom,
    pins,
    paint(canvas, x, y) {
      const at = { x: x + centre, y: y + top };
      const foot = { x: at.x, y: at.y + long };
      const edge = { x: base ? at.x - 34 : at.x + half + 8, y: y + mid };
      const inside = base
        ? transistorBody(34, pnp)
        : element(
            "g",
            { transform: "rotate(90)" },
            twoPins(label.kind) + element("path", { d: `M30 -${half + 8}V-6M26 -13L30 -6L34 -13` }),
          );
      canvas.part(label, inside, base ? { x: edge.x, y: at.y } : at, [
        { role: tail.role, ...at },
        { role: head.role, ...foot },
        { role: third.role, ...edge },
      ]);
      for (const [end, point, way] of [
        [tail, at, "up"],
        [head, foot, "down"],
      ] as const)
        if (end.rail) canvas.rail(end.rail.place, point, way);
        else canvas.wire({ x: away(end) === "left" ? x : x + width, y: point.y }, point);
      if (third.rail) canvas.flag(third.rail.place, edge, base ? "end" : "start");
      else canvas.wire(edge, { x: base ? x : x + width, y: edge.y });
      const beside = at.x + half + 6;
      if (base) sayLabel(canvas, label, beside, at.y + 20);
      else {
        const lines = label.lines.slice(0, 2);
        sayLabel(canvas, { ...label, lines }, beside, edge.y - 8 - (lines.length - 1) * lineHeight);
        for (const [i, line] of label.lines.slice(2).entries())
          canvas.say({ x: beside, y: edge.y + 4 + (i + 1) * lineHeight }, line, "start", "faint");
      }
    },
  };
}

/** A part of several pins: inputs at the left, outputs at the right, rails above and below. */
export interface Many {
  readonly label: PartLabel;
  readonly inputs: readonly End[];
  readonly outputs: readonly End[];
  readonly upper: readonly End[];
  readonly lower: readonly End[];
}

/** A part of several pins as a triangle, a tube, or a box with a qualifying symbol. */
export function many(part: Many): Box {
  return new ManyPins(part);
}

const flagRoom = (ends: readonly End[]) =>
  Math.max(0, ...ends.map(({ rail }) => (rail ? wide(rail.place) + 8 : 0)));

class ManyPins implements Box {
  readonly width: number;
  readonly height: number;
  readonly pins: readonly Pin[];
  private readonly look: "triangle" | "tube" | "box";
  /** Words at the inputs, empty where there are none. */
  private readonly roles: readonly string[];
  /** Length of the wires at its inputs; a tube's have words above them. */
  private readonly lead: number;
  /** The body: its left edge, upper edge, width and height. */
  private readonly left: number;
  private readonly top: number;
  private readonly body: number;
  private readonly tall: number;
  /** Distance between rails. */
  private readonly spaced: number;
  /** Heights at which the name and the lines below it begin. */
  private readonly nameAt: number;
  private readonly moreAt: number;

  constructor(private readonly part: Many) {
    const { label, inputs, outputs, upper, lower } = part;
    const { kind, lines } = label;
    this.look = kind === "amplifier" ? "triangle" : kind === "tube" ? "tube" : "box";
    this.roles = inputs.map(({ role }) => this.roleText(role));
    const roleWidth = Math.max(0, ...this.roles.map((role) => wide(role)));
    this.lead = pinLead + (this.look === "tube" ? roleWidth : 0);
    this.left = this.lead + flagRoom(inputs);
    this.top = snap(Math.max(upper.length > 0 ? railRoom : 0, lineHeight) + 2);
    const rows = Math.max(inputs.length, outputs.length, 1) * pinStep;
    this.tall = snap(
      this.look === "triangle"
        ? Math.max(48, rows + 8)
        : Math.max(40, rows + (this.look === "tube" ? 28 : 0)),
    );
    const rails = Math.max(upper.length, lower.length);
    this.spaced = Math.max(24, ...[...upper, ...lower].map((end) => railWidth(end) + 6));
    const within =
      this.look === "box"
        ? roleWidth + Math.max(wide(this.qualifier.words, true), this.qualifier.strokes === "" ? 0 : 20) + 22
        : 0;
    this.body = Math.max(this.look === "tube" ? 96 : 52, within, rails * this.spaced);
    const beside = this.left + this.body / 2 + (Math.max(1, rails) * this.spaced) / 2 + 2;
    this.nameAt = upper.length > 0 ? beside : this.left;
    this.moreAt = lower.length > 0 ? beside : this.left;
    const more = lines.slice(1);
    this.width =
      4 +
      Math.max(
        this.left + this.body + pinLead + flagRoom(outputs),
        this.nameAt + wide(lines[0], true),
        this.moreAt + Math.max(0, ...more.map((line) => wide(line))),
      );
    this.height =
      this.top + this.tall + Math.max(lower.length > 0 ? railRoom : 4, more.length * lineHeight + 4);
    const pinsOf = (ends: readonly End[], side: Pin["side"]) =>
      ends.flatMap(({ net, rail }, i) => (rail ? [] : [{ net, side, y: this.level(ends, i) }]));
    this.pins = [...pinsOf(inputs, "left"), ...pinsOf(outputs, "right")];
  }

  get turned(): Box | undefined {
    const { inputs } = this.part;
    return inputs.length === 2 ? many({ ...this.part, inputs: [...inputs].reverse() }) : undefined;
  }

  paint(canvas: Canvas, x: number, y: number): void {
    const { label } = this.part;
    const drawn = [
      ...this.paintInputs(canvas, x, y),
      ...this.paintOutputs(canvas, x, y),
      ...this.paintRails(canvas, x, y),
    ];
    const at = { x: x + this.left, y: y + this.top };
    const { words, shift, strokes } = this.qualifier;
    const room = this.look === "box" ? Math.max(0, ...this.roles.map((role) => wide(role) + 10)) : 0;
    const ring = inverts(label.kind, label.words) ? 7 : 0;
    const middle = { x: (room + this.body - ring) / 2, y: this.tall / 2 };
    const sign = strokes && element("g", { transform: `translate(${middle.x} ${middle.y})` }, strokes);
    canvas.part(label, this.symbol + this.leads + this.edge + sign, at, drawn);
    canvas.say({ x: at.x + middle.x + shift, y: at.y + middle.y + 4 }, words, "middle", "name");
    const alarm = canvas.alarmed.has(label.name);
    canvas.say(
      { x: x + this.nameAt, y: y + this.top - 4 },
      label.lines[0],
      "start",
      alarm ? "alarm" : "name",
    );
    for (const [i, line] of label.lines.slice(1).entries())
      canvas.say(
        { x: x + this.moreAt, y: y + this.top + this.tall + lineHeight * (i + 1) - 1 },
        line,
        "start",
        "faint",
      );
  }

  private get qualifier(): Qualifier {
    const { kind, words } = this.part.label;
    return this.look === "box" ? qualifier(kind, words) : { words: "", shift: 0, strokes: "" };
  }

  private get symbol(): string {
    const { body, tall, part } = this;
    if (this.look === "triangle") return triangle(body, tall);
    if (this.look === "tube") return pictureTube(body, tall, this.neck);
    return boxBody(body, tall, inverts(part.label.kind, part.label.words));
  }

  /** The sign of an input that acts as it rises (IEC 60617-12, 12-07-07): what a bistable counts or takes its data by. */
  private get edge(): string {
    const { inputs, label } = this.part;
    const at = inputs.findIndex(({ role }) => role === "tail");
    if (label.kind !== "bistable" || at < 0) return "";
    const y = this.level(inputs, at) - this.top;
    return element("path", { d: `M0 ${y - 5}L8 ${y}L0 ${y + 5}` });
  }

  /** Half the height of a tube's neck. */
  private get neck(): number {
    return Math.max(this.part.inputs.length, 1) * (pinStep / 2) + 2;
  }

  private roleText(role: string): string {
    if (this.look === "tube") return role === "tail" ? "drive" : role;
    if (this.look === "box") return role === "tail" ? "" : role;
    return role === "tail" ? "+" : role === "minus" ? "−" : "";
  }

  /** Height of the i-th of several pins at one edge. */
  private level(ends: readonly End[], i: number): number {
    return this.top + snap((this.tall - (ends.length - 1) * pinStep) / 2) + i * pinStep;
  }

  private paintInputs(canvas: Canvas, x: number, y: number): DrawnPin[] {
    const { inputs } = this.part;
    return inputs.map(({ role, rail }, i) => {
      const at = { x: x + this.left, y: y + this.level(inputs, i) };
      const from = { x: rail ? at.x - this.lead + 2 : x, y: at.y };
      canvas.wire(from, at);
      if (rail) canvas.flag(rail.place, from, "end");
      if (this.look === "tube") canvas.say({ x: at.x - 4, y: at.y - 4 }, this.roles[i], "end", "faint");
      else canvas.say({ x: at.x + 4, y: at.y + 4 }, this.roles[i]);
      return { role, ...at };
    });
  }

  private paintOutputs(canvas: Canvas, x: number, y: number): DrawnPin[] {
    const { outputs } = this.part;
    return outputs.map(({ role, rail }, i) => {
      const at = { x: x + this.left + this.body, y: y + this.level(outputs, i) };
      canvas.wire(at, { x: rail ? at.x + pinLead : x + this.width, y: at.y });
      if (rail) canvas.flag(rail.place, { x: at.x + pinLead, y: at.y }, "start");
      return { role, ...at };
    });
  }

  private paintRails(canvas: Canvas, x: number, y: number): DrawnPin[] {
    const along = (ends: readonly End[], way: "up" | "down") =>
      ends.map(({ role, rail }, i) => {
        const at = {
          x: x + this.left + this.railAt(ends, i),
          y: y + this.top + (way === "up" ? 0 : this.tall),
        };
        canvas.rail(rail!.place, at, way);
        return { role, ...at };
      });
    return [...along(this.part.upper, "up"), ...along(this.part.lower, "down")];
  }

  /** Where the i-th of several rails stands, from the left edge of the body. */
  private railAt(ends: readonly End[], i: number): number {
    return Math.round(this.body / 2 + (i - (ends.length - 1) / 2) * this.spaced);
  }

  /** The outline of a triangle or a tube slopes away from its box, so the leads of rails continue down to it. */
  private get leads(): string {
    const { part, tall, body, look } = this;
    const inset = (right: number) =>
      look === "triangle" ? tall * 0.25 : look === "tube" ? tubeInset(body, tall, this.neck, right) : 0;
    const lead = (ends: readonly End[], from: number, way: number) =>
      ends.map((_, i) => {
        const right = this.railAt(ends, i);
        return `M${right} ${from}v${coordinate(way * inset(right))}`;
      });
    const d = look === "box" ? [] : [...lead(part.upper, 0, 1), ...lead(part.lower, tall, -1)];
    return d.length === 0 ? "" : element("path", { d: d.join("") });
  }
}
