// The verb `help`: a list of the verbs, or help on one of them.
import { oneOf } from "../../base/asked.js";
import { helpOn, overview } from "../helptext.js";
import { status } from "../refusal.js";
import { verb } from "../verb.js";

export const helpVerb = verb({
  word: "help",
  summary: "prints what the verbs do, or all about one of them",
  operand: { name: "VERB", help: "the verb to be told about", optional: true },
  options: {},
  example: "help check",
  statuses: { 0: "good", 2: "there is no such verb" },
  async run({ operands: [word], verbs }) {
    if (word === undefined)
      return { help: overview(await Promise.all(Object.values(verbs).map((one) => one()))) };
    oneOf("VERB", word, Object.keys(verbs));
    return { help: helpOn(await verbs[word]()) };
  },
  text: ({ help }) => help,
  status: () => status.good,
});
