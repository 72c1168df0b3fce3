#!/usr/bin/env node
// The command: verbs and their options, and how the process ends.
// Takes the command line; runs one verb and ends with its status. Always: nothing but data on standard output, words
// on standard error, no question asked, no stack trace.
import { readFileSync } from "node:fs";
import { Command, CommanderError, Option } from "commander";
import { say, tell } from "./output.js";
import { status } from "./refusal.js";

const statuses = `
Exit status: 0 good, 1 a check fails or a goal is missed, 2 the design or the command line is wrong,
3 a run could not be completed or a file could not be written.`;

// Each verb is loaded when it is asked for: most of them bring what the others do not need.
function program(end: (verb: Promise<number>) => void): Command {
  const all = new Command("rampwright")
    .description(
      "Proves sync-and-ramp circuits before the iron is hot: simulates a design, judges its checks.",
    )
    .version(version(), "--version", "print the version")
    .helpOption("-h, --help", "print this help")
    .helpCommand(false)
    .showSuggestionAfterError(true)
    .addHelpText("after", `${statuses}\nFILE may be - for standard input. Each verb has its own --help.`);
  const verb = (name: string, summary: string, files = "<FILE>") =>
    all
      .command(name)
      .summary(summary)
      .description(`${summary[0].toUpperCase()}${summary.slice(1)}.`)
      .argument(files, "a design, *.ramp; - is standard input")
      .helpOption("-h, --help", "print this help");
  const until = () =>
    new Option("--until <TIME>", "end of the run, e.g. 60ms (default: what the design says)");
  const workers = () =>
    new Option("--workers <N>", "how many runs at a time (default: what the machine has, where it pays)");

  verb("check", "run the design and every case, and print each check's verdict")
    .addOption(until())
    .option("--json", "print one JSON object instead of the table")
    .option(
      "--pictures <FOLDER>",
      "leave pictures there: the waveforms of each run (SVG), the screen of each tube (PNG)",
    )
    .addOption(workers())
    .addHelpText(
      "after",
      "\nExit status: 0 all pass, 1 a check fails, 2 the design is wrong, 3 a run stopped early.",
    )
    .action((file, options) => end(import("./verbs/check.js").then((m) => m.check(file, options))));
  verb("run", "write waveforms to a file")
    .addOption(until())
    .requiredOption("--out <FILE>", "file to write: .csv, .json or .svg")
    .option("--case <NAME>", "run this case (default: the design as drawn)")
    .option("--traces <NAMES>", "places, or parts with .current, .voltage, .power; commas between them")
    .addHelpText(
      "after",
      "\nExit status: 0 written, 2 the design is wrong, 3 the run stopped early or nothing was written.",
    )
    .action((file, options) => end(import("./verbs/run.js").then((m) => m.run(file, options))));
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
    .action((file, options) => end(import("./verbs/picture.js").then((m) => m.picture(file, options))));
  verb("report", "write one self-contained page (HTML) about the design and its cases")
    .addOption(until())
    .requiredOption("--out <FILE>", "file to write, .html")
    .addOption(workers())
    .addHelpText(
      "after",
      "\nExit status: 0 written, 2 the design is wrong, 3 a run stopped early or nothing was written.",
    )
    .action((file, options) => end(import("./verbs/report.js").then((m) => m.report(file, options))));
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
    .action((file, options) => end(import("./verbs/size.js").then((m) => m.sizeVerb(file, options))));
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
    .action((file, options) => end(import("./verbs/vary.js").then((m) => m.varyVerb(file, options))));
  verb("spread", "show what tolerances and temperature do to the checks", "<FILE...>")
    .option("--trials <N>", "random trials: how many (default: 1000), or which, e.g. 5000..9999")
    .option("--seed <N>", "trial n of a seed is always the same (default: 1)")
    .option("--worst", "the worst case instead: every value at an end of its tolerance")
    .option("--exact", "with --worst: all corners, however many, up to a million")
    .option("--from <TEMPERATURE>", "lowest temperature, about that at which values hold, e.g. -25K")
    .option("--to <TEMPERATURE>", "highest temperature, e.g. 30K (without both: drifts do not count)")
    .option("--case <NAME>", "run this case (default: the design as drawn)")
    .option("--cases", "the design as drawn and every case")
    .option("--checks <NAMES>", "checks to measure, commas between them (default: those of the case)")
    .addOption(until())
    .option("--workers <N>", "how many runs at a time (default: what the machine has)")
    .option("--out <FILE>", "keep the trials in this file (JSON), to be merged with others")
    .option("--merge", "put slices together that --out has written, in place of a design")
    .option("--json", "print one JSON object instead of the table")
    .addHelpText(
      "after",
      `
A value spreads as the design says, in lines such as
  given timing = 15 nF +- 5 %, drift 30 ppm/K, spread normal
Ctrl-C ends the trials; what has been run is shown, and kept with --out.

Exit status: 0 every check passes in all trials (at all corners that were run), 1 one does not, 2 the design or
an option is wrong, 3 not all of it was run.`,
    )
    .action((files, options) => end(import("./verbs/spread.js").then((m) => m.spreadVerb(files, options))));
  verb("faults", "show what fails when one part is open or short, one supply dead, one signal stopped")
    .addOption(until())
    .option("--parts <NAMES>", "what fails, commas between the names (default: everything, one at a time)")
    .option("--drawn", "leave the cases out: the design as drawn alone")
    .addOption(workers())
    .option("--json", "print one JSON object instead of the table")
    .addHelpText(
      "after",
      `
Each fault is tried as drawn and in every case of which a check can change. What fails without the fault as well is not
blamed on it. A fault that no check shows in any case is called latent. Ctrl-C ends it, and keeps the rows that are done.

Exit status: 0 all checks pass where nothing fails, and no fault asks another part for more than it is rated for,
1 not so, 2 the design or an option is wrong, 3 the design as drawn could not be run to its end, or not all runs were made.`,
    )
    .action((file, options) => end(import("./verbs/faults.js").then((m) => m.faultsVerb(file, options))));
  verb("stress", "show power, current and voltage of every part, against what it is rated for")
    .addOption(until())
    .option("--case <NAME>", "run this case (default: the design as drawn)")
    .option("--after <TIME>", "look at the time from then on (default: all of the run)")
    .option("--before <TIME>", "look at the time until then")
    .option("--json", "print one JSON object instead of the tables")
    .addHelpText(
      "after",
      `
A part is rated as the design says, in words such as ', rated 0.25 W' or ', rated 300 mA peak'.

Exit status: 0 every rating holds, 1 one does not, 2 the design or an option is wrong, 3 the run stopped early.`,
    )
    .action((file, options) => end(import("./verbs/stress.js").then((m) => m.stressVerb(file, options))));
  verb("format", "print the design in the canonical layout")
    .option("--check", "print nothing; exit status 1 when the layout differs")
    .option("--in-place", "lay the file itself out instead of printing")
    .addHelpText("after", "\nExit status: 0 good, 1 not in this layout (--check), 2 the design has mistakes.")
    .action((file, options) => end(import("./verbs/format.js").then((m) => m.formatVerb(file, options))));
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
async function main(words: readonly string[]): Promise<number> {
  let code: Promise<number> | undefined;
  const all = program((c) => {
    code = c;
  });
  if (words.length === 0) {
    tell(all.helpInformation().trimEnd());
    return status.wrong;
  }
  try {
    all.parse(words, { from: "user" });
    return code ? await code : status.good;
  } catch (error) {
    // Help and version end the parsing too, and well.
    if (error instanceof CommanderError) return error.exitCode === 0 ? status.good : status.wrong;
    return (await import("./load.js")).statusOf(error);
  }
}

// Standard output and standard error are written synchronously; a reader that leaves must not raise an event.
for (const stream of [process.stdout, process.stderr]) stream.on("error", () => undefined);
process.exitCode = await main(process.argv.slice(2));
