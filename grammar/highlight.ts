// The grammar that editors use to colour a design, in the TextMate format. Takes the word lists of the tokens and
// of the units; gives the text of a JSON file. What always holds: a word of the language is coloured where the
// grammar could want it; every expression is one that both Oniguruma and JavaScript take.
import { unitWords } from "../src/base/quantity.js";
import { clauseWords, shapeWords, statementWords } from "../src/syntax/tokens.js";

const word = "[\\p{L}_][\\p{L}\\p{N}\\p{M}_]*";
const edge = "(?![\\p{L}\\p{N}\\p{M}_])";
const begin = "(?<![\\p{L}\\p{N}\\p{M}_.])";

function oneOf(words: readonly string[]): string {
  const longestFirst = [...words].sort((a, b) => b.length - a.length || (a < b ? -1 : 1));
  return `(?:${longestFirst.join("|")})`;
}

/** The highlighting grammar as JSON text. */
export function highlighting(): string {
  const unit = `(?:${oneOf(unitWords.filter((one) => one !== "%"))}${edge}|%)`;
  const grammar = {
    name: "Ramp design",
    scopeName: "source.ramp",
    fileTypes: ["ramp"],
    patterns: [
      { include: "#comment" },
      { include: "#text" },
      { include: "#statement" },
      { include: "#part" },
      { include: "#quantity" },
      { include: "#shape" },
      { include: "#clause" },
      { include: "#sign" },
    ],
    repository: {
      comment: { name: "comment.line.number-sign.ramp", match: "#.*$" },
      text: { name: "string.quoted.double.ramp", match: '"[^"]*"' },
      statement: {
        match: `^\\s*(${oneOf(statementWords)})${edge}`,
        captures: { 1: { name: "keyword.control.ramp" } },
      },
      part: {
        match: `^\\s*(${word})\\s+([\\p{L}\\p{N}\\p{M}_]+)(?=\\s+[\\p{L}\\p{N}\\p{M}_.]+\\s*(?:->|→))`,
        captures: { 1: { name: "storage.type.ramp" }, 2: { name: "entity.name.ramp" } },
      },
      quantity: {
        match: `${begin}(\\d[\\d.]*(?:[eE][+-]?\\d+)?)(?:\\s*(${unit}(?:/${unit})?))?`,
        captures: { 1: { name: "constant.numeric.ramp" }, 2: { name: "keyword.other.unit.ramp" } },
      },
      shape: { name: "support.function.ramp", match: `${begin}${oneOf(shapeWords)}${edge}` },
      clause: { name: "keyword.other.ramp", match: `${begin}${oneOf(clauseWords)}${edge}` },
      sign: { name: "keyword.operator.ramp", match: "->|→|\\+-|±|[-+*/=]" },
    },
  };
  return `${JSON.stringify(grammar, null, 2)}\n`;
}
