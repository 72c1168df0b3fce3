// Inks along a range, from dark at its start to light at its end, so that the order shows in grey too; on a dark background
// they start less dark.

type Colour = readonly [number, number, number];

/** Three inks of rising lightness that are told apart under the common colour-vision deficiencies, on white and in the dark. */
const onWhite: readonly Colour[] = [
  [10, 48, 92],
  [0, 121, 110],
  [224, 130, 20],
];
const inDark: readonly Colour[] = [
  [92, 143, 214],
  [64, 184, 164],
  [255, 207, 128],
];
/** Number of inks on the scale. */
const steps = 240;

/** The ink at a position from 0 to 1 along the range. */
export function inkAt(place: number): string {
  return between(onWhite, Math.round(place * steps) / steps);
}

const darkOf = new Map(
  Array.from({ length: steps + 1 }, (_, k) => [between(onWhite, k / steps), between(inDark, k / steps)]),
);

/** The replacement for an ink of the scale on a dark background. */
export function darkInk(ink: string): string | undefined {
  return darkOf.get(ink);
}

function between(stops: readonly Colour[], place: number): string {
  const [a, b] = place < 0.5 ? [stops[0], stops[1]] : [stops[1], stops[2]];
  const share = place < 0.5 ? 2 * place : 2 * place - 1;
  const hex = a.map((v, k) =>
    Math.round(v + share * (b[k] - v))
      .toString(16)
      .padStart(2, "0"),
  );
  return `#${hex.join("")}`;
}
