// Makes source maps as coarse as a stack trace needs, or an editor that looks for a declaration: file and line. A map names the place
// of every word, which weighs more than half of the program itself; where a stretch comes from the same line as the one before,
// nothing is said of it anew.
// Programs of others are installed beside this one, and are not mapped at all.
// The format: Source map (ECMA-426), segments in base 64 with variable length, each field as the difference to the one before.

const digits = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
const value = new Map([...digits].map((digit, i) => [digit, i]));

/** A map of a text, coarse. Of empty lines it says nothing. */
export function coarse(map, text) {
  const empty = text.split("\n").map((line) => line === "");
  // Nor is what the build itself wrote to begin a file with.
  const own = map.sources.map((source) => !/node_modules\/|<stdin>/.test(source));
  const place = new Map(map.sources.filter((_, i) => own[i]).map((source, i) => [source, i]));
  const from = { source: 0, line: 0 };
  const to = { source: 0, line: 0 };
  const lines = map.mappings.split(";").map((line, row) => {
    let [at, written] = [0, 0];
    let last;
    const kept = [];
    for (const segment of line === "" ? [] : line.split(",")) {
      const [step, source = 0, rows = 0] = numbers(segment);
      at += step;
      from.source += source;
      from.line += rows;
      const mapped = own[from.source] && segment.length > 1;
      const here = mapped ? `${from.source}:${from.line}` : "";
      if (empty[row] || here === last || (last === undefined && here === "")) continue;
      last = here;
      const fields = [at - written];
      written = at;
      if (mapped) {
        const now = { source: place.get(map.sources[from.source]), line: from.line };
        // All begin where their line does.
        fields.push(now.source - to.source, now.line - to.line, 0);
        Object.assign(to, now);
      }
      kept.push(fields.map(word).join(""));
    }
    return kept.join(",");
  });
  return { version: 3, sources: [...place.keys()], names: [], mappings: lines.join(";") };
}

/** The numbers of a segment. */
function numbers(segment) {
  const found = [];
  let [whole, shift] = [0, 0];
  for (const digit of segment) {
    const bits = value.get(digit);
    whole += (bits & 31) << shift;
    shift += 5;
    if (bits & 32) continue;
    found.push(whole & 1 ? -(whole >> 1) : whole >> 1);
    [whole, shift] = [0, 0];
  }
  return found;
}

/** A number as digits. */
function word(number) {
  let left = number < 0 ? (-number << 1) | 1 : number << 1;
  let text = "";
  do {
    const bits = left & 31;
    left >>>= 5;
    text += digits[left > 0 ? bits | 32 : bits];
  } while (left > 0);
  return text;
}
