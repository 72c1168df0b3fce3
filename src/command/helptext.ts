// The texts of help, and README's table of verbs, from the records of the verbs.
import { optionsOf } from "./commandline.js";
import type { Option } from "./option.js";
import { columns } from "./table.js";
import type { Verb } from "./verb.js";

/** Columns of a line of help. */
const wide = 100;

const footer = `Each verb has its own --help. FILE may be - for standard input.

Exit status: 0 good, 1 a check fails or a goal is missed, 2 the design or the command line is wrong,
3 a run could not be completed or a file could not be written.`;

/** Help on the command. */
export function overview(verbs: readonly Verb[]): string {
  const rows = verbs.map((verb) => [verb.word, verb.summary]);
  return [
    "Usage: rampwright VERB [FILE] [options]",
    "",
    "Proves sync-and-ramp circuits before the iron is hot: simulates a design, judges its checks.",
    "",
    ...listed(rows),
    "",
    footer,
    "",
  ].join("\n");
}

export function helpOn(verb: Verb): string {
  const { summary, operand, more, example, statuses } = verb;
  const options = Object.entries(optionsOf(verb));
  // Options without a group first; `sort` would put them last.
  const groups = ["", ...new Set(options.flatMap(([, { group }]) => group ?? []))];
  const ends = Object.entries(statuses).map(([number, what]) => `${number} ${what}`);
  return [
    `Usage: rampwright ${usage(verb)} [options]`,
    "",
    ...wrapped(`${summary[0].toUpperCase()}${summary.slice(1)}.`),
    ...(operand ? ["", ...listed([[operand.name, operand.help]])] : []),
    ...groups.flatMap((group) => [
      "",
      `${group || "Options"}:`,
      ...listed(
        options
          .filter(([, one]) => (one.group ?? "") === group)
          .map(([name, one]) => [spelt(name, one), helpOf(one)]),
      ),
    ]),
    "",
    `Example: rampwright ${example}`,
    ...(more
      ? ["", ...paragraphs(more).flatMap((line) => (line.startsWith(" ") ? [line] : wrapped(line)))]
      : []),
    "",
    ...wrapped(`Exit status: ${ends.join(", ")}.`),
    "",
  ].join("\n");
}

/** The guide's page of the command: help on each verb, in Markdown. */
export function commandPage(verbs: readonly Verb[]): string {
  const pages = verbs.map((verb) => `## ${verb.word}\n\n\`\`\`text\n${helpOn(verb)}\`\`\`\n`);
  return [
    "---\ntitle: The command\n---\n",
    "# The command\n",
    "What `--help` says of each verb.\n",
    ...pages,
  ].join("\n");
}

/** README's table of verbs, in Markdown. */
export function verbTable(verbs: readonly Verb[]): string {
  const rows = verbs.map((verb) => [`\`rampwright ${usage(verb)}\``, verb.summary]);
  const table = [["command", "does"], ["", ""], ...rows];
  const [first, second] = [0, 1].map((c) => Math.max(...table.map((row) => row[c].length)));
  return table
    .map(([a, b]) =>
      a === ""
        ? `| ${"-".repeat(first)} | ${"-".repeat(second)} |`
        : `| ${a.padEnd(first)} | ${b.padEnd(second)} |`,
    )
    .join("\n");
}

/** The verb with its required arguments: `run FILE --out FILE`. */
function usage({ word, operand, options }: Verb): string {
  const { name, many, optional } = operand ?? {};
  const file = name && `${name}${many ? "..." : ""}`;
  const must = Object.entries(options).flatMap(([key, one]) => (one.needed ? [spelt(key, one)] : []));
  return [word, ...(file ? [optional ? `[${file}]` : file] : []), ...must].join(" ");
}

function spelt(name: string, { value }: Option): string {
  return value ? `--${name} ${value}` : `--${name}`;
}

function helpOf({ help, words, needed }: Option): string {
  return `${help}${words ? ` (${words.join(", ")})` : ""}${needed ? "; needed" : ""}`;
}

/** Words and what they mean, side by side. */
function listed(rows: readonly (readonly [string, string] | readonly string[])[]): string[] {
  const first = Math.max(...rows.map(([word]) => word.length));
  const cells = rows.flatMap(([word, what]) =>
    wrapped(what, wide - first - 4).map((line, i) => [i === 0 ? word : "", line]),
  );
  return columns(cells, new Set()).map((line) => `  ${line}`);
}

/** Wraps a text into lines of `room` columns. */
/** Lines of a note, those of one sentence joined; lines that are indented stand as they are. */
function paragraphs(more: string): string[] {
  return more.split("\n").reduce<string[]>((found, line) => {
    const last = found.at(-1);
    if (last === undefined || /^ |^$/.test(line) || /^ |^$|[.:]$/.test(last)) found.push(line);
    else found[found.length - 1] = `${last} ${line}`;
    return found;
  }, []);
}

function wrapped(text: string, room = wide): string[] {
  const lines = [""];
  for (const word of text.split(" ")) {
    const last = lines[lines.length - 1];
    const longer = last === "" ? word : `${last} ${word}`;
    if (longer.length > room && last !== "") lines.push(word);
    else lines[lines.length - 1] = longer;
  }
  return lines;
}
