// The verb `init`: a design to start from, with comments on what to change.
import { existsSync } from "node:fs";
import { refuseOption } from "../../base/asked.js";
import { choice } from "../option.js";
import { printable, tell, tryFile, writeFile } from "../output.js";
import { status } from "../refusal.js";
import { starter } from "../starter.js";
import { verb } from "../verb.js";

export const initVerb = verb({
  word: "init",
  summary: "writes a commented design to start from: a line sweep that passes its checks",
  operand: { name: "FILE", help: "file to write, *.ramp; printed where it is left out", optional: true },
  options: {
    system: choice("LINES", ["525", "625"], "lines of the camera's system (default: 625)"),
  },
  example: "init sweep.ramp --system 525",
  statuses: { 0: "good", 2: "the file is there already", 3: "it could not be written" },
  async run({ operands: [file], options }) {
    const text = starter(options.system ?? "625");
    if (file === undefined) return { text };
    if (existsSync(file)) refuseOption("FILE", `${file} is there already, and stays as it is`);
    tryFile(file);
    await writeFile(file, [text]);
    tell(`${printable(file)}: try rampwright check ${printable(file)}`);
    return { text: "" };
  },
  text: ({ text }) => text,
  status: () => status.good,
});
