// The order in which to look at a board: along the path of the signal, causes before effects, and one path to its end before the
// next. A trace comes after another where everything that can affect the other can affect it as well.
import type { Design } from "../design/design.js";
import { Influence } from "../judging/influence.js";

/** Indices of traces along the path of the signal. @param names of places, or of parts with `.current` and the like */
export function signalOrder(design: Design, names: readonly string[]): number[] {
  const influence = new Influence(design);
  const movers = names.map((target) => influence.of({ target }));
  const far = distances(design);
  // Traces that everything may affect keep the order of the text, at the end.
  const size = (i: number) => movers[i]?.size ?? Number.POSITIVE_INFINITY;
  const away = (i: number) => far.get(names[i]) ?? Number.POSITIVE_INFINITY;
  const within = (i: number, j: number) => {
    const [a, b] = [movers[i], movers[j]];
    return a !== undefined && b !== undefined && a.size < b.size && [...a].every((part) => b.has(part));
  };
  const waiting = new Set(names.keys());
  const order: number[] = [];
  while (waiting.size > 0) {
    const ready = [...waiting].filter((j) => ![...waiting].some((i) => within(i, j)));
    const last = order.at(-1);
    const on = last === undefined ? [] : ready.filter((j) => within(last, j));
    const next = (on.length > 0 ? on : ready).reduce((best, j) =>
      size(j) < size(best) || (size(j) === size(best) && away(j) < away(best)) ? j : best,
    );
    waiting.delete(next);
    order.push(next);
  }
  return order;
}

/** The number of parts between each place and the nearest signal; rails and ground lead nowhere. */
function distances({ parts, places }: Design): Map<string, number> {
  const rails = new Set(parts.flatMap((p) => (p.kind.rail ? [p.tail, p.head] : [])));
  const found = new Map<number, number>();
  let edge = parts.filter((p) => p.wave && !p.kind.rail).flatMap(({ tail, head }) => [tail, head]);
  for (let steps = 0; edge.length > 0; steps++) {
    const fresh = edge.filter((place) => place !== 0 && !rails.has(place) && !found.has(place));
    for (const place of fresh) found.set(place, steps);
    edge = fresh.flatMap((place) =>
      parts.flatMap(({ tail, head, control, places: more }) => {
        const joined = [tail, head, ...more.values(), ...(control?.type === "level" ? [control.place] : [])];
        return joined.includes(place) ? joined : [];
      }),
    );
  }
  return new Map([...found].map(([place, steps]) => [places[place], steps]));
}
