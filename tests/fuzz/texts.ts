// Hostile texts from a seed: by bytes, by characters, by words, by the parser's own grammar, and by size. Take a seed; give a
// text. Always: the same seed gives the same text, on every machine; every rule of the grammar comes up. Most are of a few
// statements, since what slips through seldom needs more, and a thousand of them cost what thirty long ones do; one in `long` is of
// any length.
import { kinds } from "../../src/parts/kinds.js";
import { keywords, statementWords } from "../../src/syntax/tokens.js";
import { said } from "../syntax/speaking.js";
import { Chance } from "../verify/chance.js";
import { smallCircuit } from "./circuits.js";

/** One seed in so many makes a text of any length, and is run if it is a design. */
export const long = 100;

/** Texts to begin from; the first are sound. */
const begun: string[] = [];

/** Hands over the texts that damage begins with. */
export function beginWith(texts: readonly string[]): void {
  begun.splice(0, begun.length, ...texts);
}

const words = [
  ...keywords,
  ...kinds.map((kind) => kind.word),
  ...kinds.flatMap((kind) => kind.properties.map((p) => p.word)),
  ...["ground", "ramp", "gate", "p", "q", "x", "a.b", "r.current", "s.fields", "__proto__", "constructor"],
  ..."V A s Hz ohm F H W J C K % ppm deg mV us nF kohm Mohm µA µF 625/50 525/59.94".split(" "),
  ..."peak floor value sweep error crossing settled rest rated mean rms steady dead open short starts".split(
    " ",
  ),
];
const numbers = [
  ..."0 1 -1 5 4.7 1e-9 1e300 1e-300 1e999 1e-999 1e1000 0x10 1_000 . 1. .5 4K7 15n 2nd 1e 1e+ 007 NaN".split(
    " ",
  ),
  ..."Infinity 1,5 9007199254740993 1e-400 3.14159265358979323846264338327950288 ٣ 5e324 1e12 1e-18".split(
    " ",
  ),
];
const signs = [...' \t,,,+-*/=()->%.#"\n\n\n±→', "+-", "->", "\r\n", "\r", "- 20 % / + 80 %"];
const odd = [
  ..."\0\u0001\u0007\b\u001b\u007f\u0085\u00a0\u2028\u2029\ufeff\u200b\u202e\u200f\ud800\udc00\ufffd\ufffe\uffff".split(
    "",
  ),
  ..."µμΩΩ\u0301é管\u{1F600}‰−–—“”'`\\;:<>&|!?$@^~[]{}",
];

/** A text. */
export function hostile(seed: number): string {
  const chance = new Chance(seed);
  const size = seed % long === 0 ? anyLength : short;
  const makers = [damaged, damaged, damaged, spokenText, spokenText, soup, bytes, spliced, sized];
  return chance.of(makers)(chance, size);
}

/** How much of everything there is in a text. */
interface Size {
  readonly start: (chance: Chance) => string;
  /** The most pieces of damage, statements of the grammar, words of a soup, bytes that are others. */
  readonly damage: number;
  readonly statements: number;
  readonly words: number;
  readonly bytes: number;
  /** How many there may be of what is long, many or deep. */
  readonly many: readonly number[];
}

const anyLength: Size = {
  start,
  damage: 5,
  statements: 8,
  words: 80,
  bytes: 20,
  many: [1, 2, 63, 64, 65, 100, 499, 500, 501, 1000, 3000],
};

const short: Size = {
  start: few,
  damage: 2,
  statements: 2,
  words: 20,
  bytes: 4,
  many: [1, 2, 3, 5, 8],
};

/** A text that was begun with, or some of its lines. */
function start(chance: Chance): string {
  const text = chance.of(begun);
  if (text.length < 4000 || chance.happens(0.02)) return text;
  const lines = text.split("\n");
  const from = chance.whole(0, lines.length - 1);
  return lines.slice(from, from + chance.whole(5, 60)).join("\n");
}

/** A few statements: half the time a small circuit, which is a design, else some lines of a text that was begun with. */
function few(chance: Chance): string {
  if (chance.happens(0.5)) return smallCircuit(chance.whole(0, 2 ** 31 - 1)).text;
  const lines = chance.of(begun).split("\n");
  const from = chance.whole(0, lines.length - 1);
  return lines.slice(from, from + chance.whole(1, 6)).join("\n");
}

function word(chance: Chance): string {
  const share = chance.share();
  if (share < 0.5) return chance.of(words);
  if (share < 0.75) return chance.of(numbers);
  return share < 0.95 ? chance.of(signs) : chance.of(odd);
}

function damaged(chance: Chance, size: Size): string {
  let text = size.start(chance);
  for (let times = chance.whole(1, size.damage); times > 0; times--) {
    const pieces = text.split(chance.happens(0.3) ? /(\n)/ : /(\s+|,|->|[()"=])/);
    const i = chance.whole(0, pieces.length - 1);
    const j = chance.whole(0, pieces.length - 1);
    const how = chance.whole(0, 7);
    if (how === 0) pieces.splice(i, chance.whole(1, 3));
    else if (how === 1) pieces.splice(i, 0, pieces[j]);
    else if (how === 2) [pieces[i], pieces[j]] = [pieces[j], pieces[i]];
    else if (how === 3) pieces[i] = pieces[j];
    else if (how === 4) pieces[i] = word(chance);
    else if (how === 5) pieces.splice(i, 0, word(chance), " ");
    else if (how === 6) {
      // A misspelling: letters out, in, twice, or turned round.
      const one = pieces[i];
      const at = chance.whole(0, one.length);
      pieces[i] = chance.of([
        () => one.slice(0, at) + one.slice(at + 1),
        () => one.slice(0, at) + chance.of(odd) + one.slice(at),
        () => one.slice(0, at) + one.slice(at - 1),
        () => one.slice(0, at) + [...one.slice(at, at + 2)].reverse().join("") + one.slice(at + 2),
      ])();
    } else pieces.length = Math.max(1, i);
    text = pieces.join("");
  }
  return text;
}

function spokenText(chance: Chance, size: Size): string {
  const roll = (sides: number) => chance.whole(0, sides - 1);
  const rule = () => (chance.happens(0.5) ? "statement" : chance.of([...statementWords, "part"]));
  const sound = chance.happens(0.5) ? "supply p = 5 V\nresistor r p -> ground 1 kohm\n" : "";
  let text = sound;
  for (let n = chance.whole(1, size.statements); n > 0; n--) {
    try {
      text += said(rule(), roll);
    } catch {
      // A word that begins a statement of another rule's name.
      text += said("statement", roll);
    }
  }
  return text;
}

function soup(chance: Chance, size: Size): string {
  let text = "";
  for (let n = chance.whole(1, size.words); n > 0; n--)
    text += word(chance) + (chance.happens(0.7) ? " " : "");
  return text;
}

function bytes(chance: Chance, size: Size): string {
  const text = chance.happens(0.7)
    ? Buffer.from(size.start(chance).slice(0, 2000))
    : Buffer.alloc(chance.whole(0, 15 * size.bytes));
  for (let n = chance.whole(1, size.bytes); n > 0 && text.length > 0; n--)
    text[chance.whole(0, text.length - 1)] = chance.whole(0, 255);
  return text.toString(chance.of(["utf8", "latin1", "utf16le"] as const));
}

function spliced(chance: Chance, size: Size): string {
  const [a, b] = [size.start(chance), size.start(chance)].map((text) => text.split("\n"));
  const lines = [...a.slice(0, chance.whole(0, a.length)), ...b.slice(chance.whole(0, b.length))];
  return chance.happens(0.2)
    ? chance.shuffled(lines).join("\n")
    : lines.join(chance.of(["\n", "\n", "\r\n", "\r", ""]));
}

/** Things that are long, many or deep. */
function sized(chance: Chance, { many }: Size): string {
  const n = chance.of(many);
  const rc = "supply p = 12 V\nresistor r p -> ground 1 kohm\n";
  const lines = (line: (i: number) => string) => rc + Array.from({ length: n }, (_, i) => line(i)).join("\n");
  return chance.of([
    () => `${rc}given a = ${"(".repeat(n)}1 V${")".repeat(n - chance.whole(0, 1))}`,
    () => `${rc}given a = ${"-".repeat(n)}1 V`,
    () => `${rc}given a = 1 V${chance.of([" + 1 V", " - 1 V", " * 1", " / 1"]).repeat(n)}`,
    () => `${rc}given ${chance.of(["a", "é", "管"]).repeat(n * 30)} = 1 V`,
    () => `${rc}check "${"x".repeat(n * 30)}" peak of p below 1 V`,
    () => lines((i) => `given a${i} = a${(i + chance.of([0, 1, 1, 2])) % n} * 3`),
    () => lines((i) => `given a${i + 1} = ${i === 0 ? "3" : `a${i} * a${i}`}`),
    () => `${rc}${"block b joins a\n".repeat(n)}${"end\n".repeat(n - chance.whole(0, 1))}`,
    () => lines((i) => `block b${i} joins a\nuse b${i + 1} as x joins a\nend`),
    () =>
      lines((i) => `case "c${i}" p dead`) + lines((i) => `check "k${i}" peak of p below 1 V in every case`),
    () => `${rc}given a = ${"9".repeat(n)}.${"9".repeat(n)} V`,
    () => `${rc}given a = 1e${chance.of(["", "-", "+"])}${n} V`,
    () => `${rc}signal s = path ${Array.from({ length: n }, (_, i) => `${i % 7} V at ${i} us`).join(", ")}`,
    () => `${rc}supply q = 1 V, ${"rated 1 A, ".repeat(n)}rated 1 W`,
    () =>
      `${rc}${chance.of(['"', "#", "(", ",", "-> ", "+- ", "\t", "\n", ".", "=", "\\", "e9"]).repeat(n * 10)}`,
    () => `${rc}given a = 1 V,\n${"\n,".repeat(n)}`,
    () => `${rc}check "k" peak of ${Array.from({ length: n }, () => "p").join(".")} below 1 V`,
  ])();
}
