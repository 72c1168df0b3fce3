import { readFileSync } from "node:fs";
import { Expectations } from "../../src/diagnosis/accused.js";
import { judged } from "../../src/diagnosis/likelihood.js";
import { takenReadings } from "../../src/diagnosis/readings.js";
import { suspectsOf } from "../../src/diagnosis/suspects.js";
import { compile, readSymptoms } from "../../src/index.js";
import { Board } from "./trying.js";
const design = compile(readFileSync("examples/board.ramp", "utf8"), { name: "board.ramp" });
const table = readSymptoms(JSON.parse(readFileSync("out/board.symptoms.json", "utf8")));
const e = new Expectations(table);
const cases = ["", "camera unplugged and plugged in again"];
const targets = ["line_gate", "line_ramp", "across", "field_gate", "field_ramp", "down", "plus12.current"];
for (const [name, factor] of [["entry.lower", 0.1], ["filter.path", 10], ["separator.rest_upper", 0.1], ["separator.half_lower", 10]] as const) {
  const fault = suspectsOf(design, [name]).find((s) => s.factor === factor)!;
  const board = new Board(design, fault, 1);
  const readings = cases.flatMap((c) => targets.flatMap((t) => board.readings(t, c)!));
  const taken = takenReadings(table, readings);
  const widths = taken.map(() => 0);
  const kind = factor < 1 ? "value too low" : "value too high";
  const one = e.accused.find((a) => a.name === name && a.kind === kind)!;
  const node = table.suspects.findIndex((s) => s.name === name && s.factor === factor);
  const j = judged(one, e, taken, { accuracy: 0.01, widths });
  const all = e.accused.map((a) => judged(a, e, taken, { accuracy: 0.01, widths })).sort((a, b) => b.likelihood - a.likelihood);
  console.log("=====", name, factor, "own", JSON.stringify({ l: j.likelihood, top: j.top, m: j.misfit, p: j.piece, s: j.share }), "best", all[0].accused.name, all[0].accused.kind, all[0].likelihood, all[0].top, all[0].misfit);
  taken.forEach((r, i) => {
    const own = e.of(node, r.column), sound = e.of(0, r.column);
    const best = e.of(all[0].accused.nodes.at(-1)!, r.column);
    if (own && Math.abs(own.value - r.value) > 0.5 * r.resolution)
      console.log(readings[i].what, "|", readings[i].case, "| read", r.value, "step", r.resolution, "own", own.value, "±", Math.hypot(...own.spread), own.doubt, "best", best?.value, "sound", sound?.value);
  });
}
