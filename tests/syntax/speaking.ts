// Random texts that follow the parser's own rules, for the laws of the formatter. What always holds: every rule, every
// alternative and every word of the language comes up, since the rules are taken from the parser itself; names avoid
// nothing. Not every text is a design: where the grammar's rules meet, the parser decides by what follows.
import * as fc from "fast-check";
import { type Piece, productions } from "../../grammar/productions.js";
import { keywords } from "../../src/syntax/tokens.js";

const rules = new Map(productions().map((rule) => [rule.name, rule.piece]));

const pools: Readonly<Record<string, readonly string[]>> = {
  name: ["ramp", "x", "V", "us", "e9", "Röhre", "管", "K", "pulse", "lasts", ...keywords],
  number: ["0", "5", "4.7", "1e-9", "1e3", "4K7", "15n", "22nF", "5V", "0x10", "2nd", "625", "10%"],
  "text in quotes": ['"a"', '""', '"# b, c"'],
  "end of the line": ["\n"],
};

/** Expands a rule by throwing dice; where they run out, the shortest way is taken. */
function speak(piece: Piece, roll: (sides: number) => number, depth: number): string[] {
  const deeper = (one: Piece) => speak(one, roll, depth + 1);
  const often = (most: number) => (depth > 14 ? 0 : roll(most + 1));
  switch (piece.type) {
    case "literal":
      return [piece.text];
    case "token": {
      const pool = pools[piece.text];
      return [pool[roll(pool.length)]];
    }
    case "rule":
      return deeper(rules.get(piece.name)!);
    case "sequence":
      return piece.items.flatMap(deeper);
    case "choice":
      return deeper(piece.items[depth > 14 ? 0 : roll(piece.items.length)]);
    case "optional":
      return often(1) === 1 ? deeper(piece.item) : [];
    case "repeat": {
      const words = deeper(piece.item);
      for (let more = often(2); more > 0; more--)
        words.push(...(piece.between ? deeper(piece.between) : []), ...deeper(piece.item));
      return words;
    }
  }
}

const joining = /^(?:,|->|\+|-|\*|\/|\+-|=)$/;
const breaks = ["\n", "\r\n\t", " # behind\n", "\n# alone\n"];
const wordy = /[\p{L}\p{N}\p{M}_%]$/u;
const begins = /^[\p{L}\p{N}\p{M}_]/u;

/** A text of a rule, by dice. @param roll gives a whole number from 0 to below the number of sides */
export function said(rule: string, roll: (sides: number) => number): string {
  let text = "";
  for (const word of speak(rules.get(rule)!, roll, 0)) {
    const apart = (wordy.test(text) && begins.test(word)) || roll(4) > 0;
    text += text === "" || word === "\n" || text.endsWith("\n") || !apart ? word : ` ${word}`;
    // Behind these a statement goes on over the end of a line.
    if (joining.test(word)) text += breaks[roll(12)] ?? "";
  }
  return `${text}\n`;
}

/** A statement of a given rule, or any. */
export function spoken(rule = "statement"): fc.Arbitrary<string> {
  return fc.array(fc.nat(1 << 20), { minLength: 20, maxLength: 200, size: "max" }).map((dice) => {
    let at = 0;
    return said(rule, (sides) => (at < dice.length ? dice[at++] % sides : 0));
  });
}
