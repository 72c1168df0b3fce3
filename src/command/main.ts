// The command: verbs and their options, and how the process ends.
// Takes the command line; runs one verb and ends with its status. Always: nothing but data on standard output, words
// on standard error, no question asked, no stack trace.
import { readFileSync } from "node:fs";
import { Command, CommanderError, Option } from "commander";
import { check } from "./check.js";
import { statusOf } from "./design.js";
import { format } from "./format.js";
import { say, tell } from "./output.js";
import { picture } from "./picture.js";
import { report } from "./report.js";
import { run } from "./run.js";
import { sizeVerb } from "./size.js";
import { status } from "./trouble.js";
import { varyVerb } from "./vary.js";

const statuses = `
Exit status: 0 good, 1 a check fails or a goal is missed, 2 the design or the command line is wrong,
3 a run could not be completed or a file could not be written.`;

function program(end: (code: number) => void): Command {
  const all = new Command("rampwright")
    .description(
      "Proves sync-and-ramp circuits before the iron is hot: simulates a design, judges its checks.",
    )
    .version(version(), "--version", "print the version")
    .helpOption("-h, --help", "print this help")
    .helpCommand(false)
    .showSuggestionAfterError(true)
    .addHelpText("after", `${statuses}\nFILE may be - for standard input. Each verb has its own --help.`);
  const verb = (name: string, summary: string) =>
    all
      .command(name)
      .summary(summary)
      .description(`${summary[0]!.toUpperCase()}${summary.slice(1)}.`)
      .argument("<FILE>", "a design, *.ramp; - is standard input")
      .helpOption("-h, --help", "print this help");
  const until = () =>
    new Option("--until <TIME>", "end of the run, e.g. 60ms (default: what the design says)");

  verb("check", "run the design and every case, and print each check's verdict")
    .addOption(until())
    .option("--json", "print one JSON object instead of the table")
    .option(
      "--pictures <FOLDER>",
      "leave pictures there: the waveforms of each run (SVG), the screen of each tube (PNG)",
    )
    .addHelpText(
      "after",
      "\nExit status: 0 all pass, 1 a check fails, 2 the design is wrong, 3 a run stopped early.",
    )
    .action((file, options) => end(check(file, options)));
  verb("run", "write waveforms to a file")
    .addOption(until())
    .requiredOption("--out <FILE>", "file to write: .csv, .json or .svg")
    .option("--case <NAME>", "run this case (default: the design as drawn)")
    .option("--traces <NAMES>", "places, or parts with .current, .voltage, .power; commas between them")
    .addHelpText(
      "after",
      "\nExit status: 0 written, 2 the design is wrong, 3 the run stopped early or nothing was written.",
    )
    .action((file, options) => end(run(file, options)));
  verb("picture", "write what a run draws on a picture tube")
    .addOption(until())
    .requiredOption("--out <FILE>", "file to write, .png")
    .option("--case <NAME>", "run this case (default: the design as drawn)")
    .option("--tube <NAME>", "the tube, where the design has several")
    .option("--width <N>", "pixels (default: 768)")
    .option("--height <N>", "pixels (default: 576)")
    .option("--from <TIME>", "start of the time shown (default: two fields before its end)")
    .option("--to <TIME>", "end of the time shown (default: the end of the run)")
    .addHelpText(
      "after",
      "\nExit status: 0 written, 2 the design is wrong, 3 the run stopped early or nothing was written.",
    )
    .action((file, options) => end(picture(file, options)));
  verb("report", "write one self-contained page (HTML) about the design and its cases")
    .addOption(until())
    .requiredOption("--out <FILE>", "file to write, .html")
    .addHelpText(
      "after",
      "\nExit status: 0 written, 2 the design is wrong, 3 a run stopped early or nothing was written.",
    )
    .action((file, options) => end(report(file, options)));
  verb("size", "find the values that the design asks to find, and what to buy for them")
    .addOption(until())
    .option("--json", "print one JSON object instead of the table")
    .option("--points <N>", "points of a range looked at before roots are narrowed down (default: 17)")
    .option("--in <SERIES>", "preferred values, E3 to E192, for values to find that name no series")
    .addHelpText(
      "after",
      `
The design says what to find, in lines such as
  find timing from 1 nF to 100 nF in E12 for "fills the tube"
where the text in quotes names a check: the value is sought that makes it measure what it aims at.

Exit status: 0 every find has an answer, 1 one has none, 2 the design is wrong or asks to find nothing,
3 no run could be completed.`,
    )
    .action((file, options) => end(sizeVerb(file, options)));
  verb("vary", "show what the checks measure while one value goes along a range")
    .requiredOption(
      "--value <NAME>",
      "the value: a named one, a part, or a part's property, e.g. line.feed.output",
    )
    .requiredOption("--from <VALUE>", "start of the range, e.g. 1nF")
    .requiredOption("--to <VALUE>", "end of the range")
    .option("--points <N>", "how many points (default: 21)")
    .option("--spacing <HOW>", "linear, log, or a series of preferred values (default: what suits the range)")
    .option("--case <NAME>", "run this case (default: the design as drawn)")
    .option("--checks <NAMES>", "checks to measure, commas between them (default: those of the case)")
    .option("--traces <NAMES>", "traces to keep of every run: with .svg they are drawn over each other")
    .addOption(until())
    .option("--out <FILE>", "file to write: .csv, .json or .svg")
    .option("--json", "print one JSON object instead of the table")
    .addHelpText(
      "after",
      "\nExit status: 0 good, 2 the design or an option is wrong, 3 a run stopped early or nothing was written.",
    )
    .action((file, options) => end(varyVerb(file, options)));
  verb("format", "print the design in the canonical layout")
    .option("--check", "print nothing; exit status 1 when the layout differs")
    .option("--write", "write the file back instead of printing")
    .addHelpText("after", "\nExit status: 0 good, 1 not in this layout (--check), 2 the design has mistakes.")
    .action((file, options) => end(format(file, options)));
  for (const c of [all, ...all.commands]) {
    c.exitOverride().configureOutput({
      writeOut: say,
      writeErr: (text) => tell(text.trimEnd().replace(/^error: /u, "rampwright: ")),
    });
  }
  return all;
}

// The bundled command stands in dist/, one folder below the package's own file.
function version(): string {
  const { version } = JSON.parse(readFileSync(new URL("../package.json", import.meta.url), "utf8"));
  return version;
}

/** Runs the command line; gives the exit status. */
function main(words: readonly string[]): number {
  let code: number = status.good;
  const all = program((c) => {
    code = c;
  });
  try {
    if (words.length === 0) {
      tell(all.helpInformation().trimEnd());
      return status.wrong;
    }
    all.parse(words, { from: "user" });
  } catch (error) {
    // Help and version end the parsing too, and well.
    if (error instanceof CommanderError) return error.exitCode === 0 ? status.good : status.wrong;
    return statusOf(error);
  }
  return code;
}

// Standard output and standard error are written synchronously; a reader that leaves must not raise an event.
for (const stream of [process.stdout, process.stderr]) stream.on("error", () => undefined);
process.exitCode = main(process.argv.slice(2));
