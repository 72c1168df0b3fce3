// The verb `live`: one page with the engine inside, which computes in the browser.
import { createHash } from "node:crypto";
import { drivesTube } from "../../report/cautions.js";
import { load } from "../load.js";
import { needed, path } from "../option.js";
import { tell, toldPath, tryFile, writeFile, writerOf } from "../output.js";
import { status } from "../refusal.js";
import { designFile, verb } from "../verb.js";

export const liveVerb = verb({
  word: "live",
  summary:
    "writes one page (HTML) with the engine inside: values to turn, waveforms, verdicts and picture at once",
  operand: designFile,
  options: { out: needed(path("FILE", "file to write, .html; - is standard output")) },
  more: "The page needs no network. What the design brings from its folder stands in it.",
  example: "live line.ramp --out line.html",
  statuses: {
    0: "written",
    2: "the design or an option is wrong",
    3: "nothing was written",
  },
  async run({ operands: [file], options: { out } }) {
    writerOf(out, { ".html": true });
    const { design, source } = await load(file, {});
    tryFile(out);
    const [{ livePage }, { assets }, { lexicon }, { packed }, { knobsOf }] = await Promise.all([
      import("../../live/livepage.js"),
      import("../../live/assets.js"),
      import("../../live/lexicon.js"),
      import("../../live/packedbrought.js"),
      import("../../live/knobs.js"),
    ]);
    const { title } = design;
    const data = { title, name: file === "-" ? "design.ramp" : source.name, text: source.text };
    const page = livePage(
      { ...data, brought: packed(source.brought), lexicon: lexicon() },
      assets,
      drivesTube(source.text, design),
      (text) => createHash("sha256").update(text, "utf8").digest("base64"),
    );
    await writeFile(out, [page]);
    const knobs = knobsOf(design).length;
    tell(
      `${toldPath(out)}: ${(page.length / 1e6).toFixed(1)} MB, ${counted(knobs, "knob")}, ${counted(design.cases.length, "case")}`,
    );
    return {};
  },
  text: () => "",
  status: () => status.good,
});

function counted(count: number, word: string): string {
  return `${count} ${word}${count === 1 ? "" : "s"}`;
}
