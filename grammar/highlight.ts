// The grammar that editors use to colour a design, in the TextMate format. Takes the word lists of the tokens, of the units, of the
// kinds, of the waveforms and of the measures; gives the text of a JSON file. What always holds: a word of the language is coloured
// where the grammar could want it; every expression is one that both Oniguruma and JavaScript take.
import { unitWords } from "../src/base/quantity.js";
import { changeVerbs } from "../src/design/cases.js";
import { ratedSizes } from "../src/design/ratings.js";
import { spreadWords } from "../src/design/spreading.js";
import { patterns } from "../src/design/videowave.js";
import { forms } from "../src/design/waveform.js";
import { measures } from "../src/measures/measures.js";
import { kinds } from "../src/parts/kinds.js";
import { clauseWords, shapeWords, statementWords } from "../src/syntax/tokens.js";

const word = "[\\p{L}_][\\p{L}\\p{N}\\p{M}_]*";
const edge = "(?![\\p{L}\\p{N}\\p{M}_])";
const begin = "(?<![\\p{L}\\p{N}\\p{M}_.])";

function oneOf(words: Iterable<string>): string {
  const longestFirst = [...new Set(words)].sort((a, b) => b.length - a.length || (a < b ? -1 : 1));
  return `(?:${longestFirst.map((one) => one.replaceAll(" ", "\\s+")).join("|")})`;
}

/** Every word that may begin a property: of a kind, of a waveform or its pattern, of what spreads, and `rated`. */
function propertyWords(): Set<string> {
  return new Set([
    ...kinds.flatMap(({ properties }) => properties.map((one) => one.word)),
    ...Object.values(forms).flatMap((words) => Object.keys(words)),
    ...Object.values(patterns).flatMap(({ words }) => Object.keys(words)),
    ...Object.keys(spreadWords),
    "rated",
  ]);
}

/** The highlighting grammar as JSON text. */
export function highlighting(): string {
  const unit = `(?:${oneOf(unitWords.filter((one) => one !== "%"))}${edge}|%)`;
  // These words are common names; they mean a shape only where a waveform begins.
  const free = shapeWords.filter((one) => one !== "sync" && one !== "video");
  const reference = "[\\p{L}\\p{N}\\p{M}_][\\p{L}\\p{N}\\p{M}_.]*";
  const property = oneOf(propertyWords());
  const repository = {
    comment: { name: "comment.line.number-sign.ramp", match: "#.*$" },
    text: { name: "string.quoted.double.ramp", match: '"[^"]*"?' },
    statement: {
      match: `^\\s*(${oneOf(statementWords)})${edge}`,
      captures: { 1: { name: "keyword.control.ramp" } },
    },
    part: {
      match: `^\\s*(?:(${oneOf(kinds.map((one) => one.word))})|(${word}))\\s+(${reference})(?=\\s+${reference}\\s*(?:->|→))`,
      captures: {
        1: { name: "storage.type.ramp" },
        2: { name: "storage.type.other.ramp" },
        3: { name: "entity.name.ramp" },
      },
    },
    measure: {
      match: `${begin}(${oneOf(measures.map((one) => one.words))})(?=\\s+of${edge})`,
      captures: { 1: { name: "support.function.measure.ramp" } },
    },
    sync: {
      match: `${begin}(${word})\\s+(sync)(?=\\s+of${edge})`,
      captures: { 1: { name: "support.function.ramp" }, 2: { name: "support.function.ramp" } },
    },
    video: {
      match: `${begin}(video)(?=\\s+of${edge})`,
      captures: { 1: { name: "support.function.ramp" } },
    },
    // Behind an arrow stands a place, and what follows it may be the first property.
    head: {
      match: `(->|→)\\s*${reference}\\s+(${property})(?=\\s+[\\p{L}\\d(-])`,
      captures: { 1: { name: "keyword.operator.ramp" }, 2: { name: "variable.other.property.ramp" } },
    },
    property: {
      match: `(?:^\\s+|(?<=,)\\s*|(?<=\\.))(${property})${edge}(?!\\s*[.=])`,
      captures: { 1: { name: "variable.other.property.ramp" } },
    },
    change: {
      match: `(?<=[\\p{L}\\p{N}\\p{M}_])\\s+(${oneOf(Object.keys(changeVerbs).filter((one) => one !== "is"))})(?=\\s*(?:,|$|#|at${edge}|\\d))`,
      captures: { 1: { name: "keyword.other.ramp" } },
    },
    quantity: {
      match: `${begin}(\\d[\\d.]*(?:[eE][+-]?\\d+)?)(?:\\s*(${unit}(?:/${unit})?))?`,
      captures: { 1: { name: "constant.numeric.ramp" }, 2: { name: "keyword.other.unit.ramp" } },
    },
    shape: { name: "support.function.ramp", match: `${begin}${oneOf(free)}${edge}(?=\\s*[\\p{L}\\p{N}_(-])` },
    size: {
      match: `(?<=[VAW])\\s+(${oneOf(Object.keys(ratedSizes))})${edge}`,
      captures: { 1: { name: "support.constant.ramp" } },
    },
    clause: { name: "keyword.other.ramp", match: `${begin}${oneOf(clauseWords)}${edge}` },
    sign: { name: "keyword.operator.ramp", match: "->|→|\\+/?-|±|[-+*/=]" },
  };
  const grammar = {
    name: "Ramp design",
    scopeName: "source.ramp",
    fileTypes: ["ramp"],
    patterns: Object.keys(repository).map((name) => ({ include: `#${name}` })),
    repository,
  };
  return `${JSON.stringify(grammar, null, 2)}\n`;
}
