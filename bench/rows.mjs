// The rows of the bench: where each is measured, how long it may take, and what it must reach.
// A row's file exports a function of the row's name in camel case; it gives `values` by the words of the demands below.
// Always: a demand in seconds is for a machine whose loop by hand takes the yardstick; the runner scales it. The short
// limits together stay well below three minutes, so that the CI knows when it ends.

/** Seconds that the loop by hand takes on the machine for which the demands are written. */
export const yardstick = 0.14;

const least = (what, bound) => ({ what, sense: ">=", bound, unit: "" });
const most = (what, bound, unit = "") => ({ what, sense: "<=", bound, unit });
const row = (name, file, { full, short }, ...must) => ({ name, file, limit: { full, short }, must });

/** In the order in which they run. Limits in seconds of wall time. */
export const rows = [
  row("machine", "line", { full: 60, short: 4 }),
  row(
    "line",
    "line",
    { full: 240, short: 9 },
    least("simulated over wall", 20),
    least("times the peer's speed", 60),
  ),
  row("line-drawn", "line", { full: 120, short: 7 }, least("simulated over wall", 6)),
  row("line-repeat", "line", { full: 240, short: 6 }, least("simulated over wall", 1000)),
  row(
    "board-repeat",
    "boards",
    { full: 300, short: 9 },
    least("simulated over wall", 20),
    most("memory over that of 0.1 s", 1.25),
  ),
  row("board-bars", "boards", { full: 240, short: 7 }, least("simulated over wall", 1)),
  row(
    "board-crosshatch",
    "boards",
    { full: 240, short: 8 },
    least("simulated over wall without pictures", 0.5),
    least("simulated over wall with pictures", 0.3),
    most("memory", 250, "MB"),
  ),
  row("board-colour", "boards", { full: 240, short: 6 }, least("simulated over wall", 0.2)),
  row("video-path", "path", { full: 240, short: 9 }, least("times the peer's speed", 20)),
  row(
    "resonance",
    "resonance",
    { full: 120, short: 5 },
    most("error over the amplitude", 1e-6),
    most("wall", 0.5, "s"),
  ),
  row("start", "processes", { full: 240, short: 9 }, most("wall on two cores", 8, "s")),
  row("report", "processes", { full: 300, short: 8 }, most("wall", 10, "s"), most("memory", 300, "MB")),
  row("find", "studies", { full: 400, short: 7 }, most("runs", 12), most("wall", 5, "s")),
  row("faults", "studies", { full: 400, short: 7 }, most("wall on two cores", 60, "s")),
  row("fit", "captures", { full: 60, short: 5 }, most("wall", 2, "s")),
  row(
    "diagnose",
    "studies",
    { full: 900, short: 7 },
    most("wall of the table on two cores", 300, "s"),
    most("wall of a ranking", 0.1, "s"),
  ),
  row(
    "trials",
    "studies",
    { full: 300, short: 9 },
    most("wall on two cores", 10, "s"),
    least("one core's wall over that of two", 1.7),
  ),
  row("board-trials", "studies", { full: 400, short: 7 }, most("wall on two cores", 15, "s")),
  row(
    "growth",
    "growth",
    { full: 300, short: 8 },
    most("exponent of an RC ladder", 1.1),
    most("exponent of resistors alone", 1.1),
  ),
  row(
    "long",
    "long",
    { full: 600, short: 7 },
    most("memory", 250, "MB"),
    most("memory over that of a tenth", 1.25),
  ),
  row(
    "cold",
    "processes",
    { full: 120, short: 9 },
    most("check over node -e 0", 4),
    most("import over node -e 0", 3),
  ),
  row("parse", "growth", { full: 120, short: 7 }, most("wall", 3, "s"), most("exponent", 1.1)),
];

/** What a row must reach, in words; seconds as they are on this machine stand behind those of the yardstick. */
export function mustText({ must }, scale) {
  if (must.length === 0) return "the yardstick by which seconds are scaled";
  const words = must.map(({ what, sense, bound, unit }) => {
    const here = unit === "s" ? `, here ${(bound * scale).toPrecision(3)} s` : "";
    return `${what} ${sense} ${bound}${unit && ` ${unit}`}${here}`;
  });
  return words.join("; ");
}

/**
 * Whether a row reaches what it must: true, false, or "not run" where nothing falls short but something was not measured.
 * `scale` is the wall time of the loop by hand over the yardstick.
 */
export function judge({ must }, values, scale) {
  let met = true;
  for (const { what, sense, bound, unit } of must) {
    const value = values[what];
    if (value === undefined) {
      met = "not run";
      continue;
    }
    const here = unit === "s" ? bound * scale : bound;
    // Written so that NaN falls short.
    if (!(sense === ">=" ? value >= here : value <= here)) return false;
  }
  return met;
}
