// A block as a frame with its name, without its contents.
import { type Box, type Net, pinLead, pinStep, railRoom } from "./boxes.js";
import { type DrawnPin, lineHeight, wide } from "./canvas.js";

/** A closed block: its name above, its places at its left and right edges, its rails above and below. */
export interface Closed {
  readonly name: string;
  readonly title: string;
  readonly left: readonly { readonly net: Net; readonly place: string }[];
  readonly right: readonly { readonly net: Net; readonly place: string }[];
  readonly upper: readonly string[];
  readonly lower: readonly string[];
}

export function closed({ name, title, left, right, upper, lower }: Closed): Box {
  const names = (list: Closed["left"]) => Math.max(0, ...list.map(({ place }) => wide(place)));
  const spaced = Math.max(26, ...[...upper, ...lower].map((place) => wide(place) + 8));
  const rows = Math.max(left.length, right.length, 1);
  const body = Math.max(
    wide(title, true) + 16,
    names(left) + names(right) + 28,
    Math.max(upper.length, lower.length) * spaced + 8,
  );
  const head = lineHeight + 11;
  const tall = head + rows * pinStep + 4;
  const top = upper.length > 0 ? railRoom : 4;
  const width = body + 2 * pinLead;
  const level = (i: number) => top + head + 8 + i * pinStep;
  return {
    width,
    height: top + tall + (lower.length > 0 ? railRoom : 4),
    pins: [
      ...left.map(({ net }, i) => ({ net, side: "left" as const, y: level(i) })),
      ...right.map(({ net }, i) => ({ net, side: "right" as const, y: level(i) })),
    ],
    paint(canvas, x, y) {
      const drawn: DrawnPin[] = [];
      canvas.frame(name, { x: x + pinLead, y: y + top }, body, tall, false);
      canvas.say(
        { x: x + pinLead + body / 2, y: y + top + lineHeight + 2 },
        title,
        "middle",
        canvas.alarmedWithin(name) ? "alarm" : "name",
      );
      for (const [list, side] of [
        [left, "left"],
        [right, "right"],
      ] as const)
        for (const [i, { place }] of list.entries()) {
          const at = { x: side === "left" ? x + pinLead : x + pinLead + body, y: y + level(i) };
          drawn.push({ role: `=${place}`, ...at });
          canvas.wire(at, { x: side === "left" ? x : x + width, y: at.y });
          canvas.say(
            { x: side === "left" ? at.x + 5 : at.x - 5, y: at.y + 4 },
            place,
            side === "left" ? "start" : "end",
          );
        }
      for (const [list, way] of [
        [upper, "up"],
        [lower, "down"],
      ] as const)
        for (const [i, place] of list.entries()) {
          const at = {
            x: x + pinLead + Math.round(body / 2 + (i - (list.length - 1) / 2) * spaced),
            y: y + top + (way === "up" ? 0 : tall),
          };
          drawn.push({ role: `=${place}`, ...at });
          canvas.rail(place, at, way);
        }
      canvas.part({ name, kind: "block" }, "", { x, y }, drawn);
    },
  };
}
