// The recipes of DEVELOPERS.md, followed in a copy of the sources: the file or the line that each asks for and nothing else, and then
// everything that knows of parts, measures, diagnostics, blocks and verbs knows the new one. The lamp's figures are Ohm's law.
import { spawnSync } from "node:child_process";
import { cpSync, mkdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { build } from "esbuild";
import { afterAll, beforeAll, expect, it } from "vitest";
import { diagnosticsPage } from "../../grammar/diagnostics.js";
import type * as library from "../../src/index.js";
import { root } from "../command/running.js";

// Inside the project, so that what is built finds its packages.
const copy = join(root, "out", `followed-${process.pid}`);
const read = (file: string) => readFileSync(join(copy, file), "utf8");
const write = (file: string, text: string) => writeFileSync(join(copy, file), text);

/** Adds what comes behind the first place of a text that a file has. */
function add(file: string, behind: string, more: string): void {
  const text = read(file);
  expect(text.split(behind).length, `${file}: ${behind}`).toBeGreaterThan(1);
  write(file, text.replace(behind, `${behind}${more}`));
}

/** A declaration of tests/parts/added.ts, with what stands before it. */
function written(from: string, to: string): string {
  const text = readFileSync(join(root, "tests/parts/added.ts"), "utf8");
  return text.slice(text.indexOf(from), text.indexOf(to));
}

function followAll(): void {
  // Adding a part: one file and one line, with what the line takes from the file.
  write(
    "src/parts/lamp.ts",
    `// A lamp: a resistor that is ten times smaller while it is cold.
import { dimension } from "../base/dimension.js";
import { toNumber } from "../base/fraction.js";
import type { Kind } from "./contract.js";
import { amountOf } from "./making.js";

${written("const cold", "/** How far")}`,
  );
  add(
    "src/parts/kinds.ts",
    'import { inductor } from "./inductor.js";\n',
    'import { lamp } from "./lamp.js";\n',
  );
  add("src/parts/kinds.ts", "  inductor,\n", "  lamp,\n");

  // Adding a measure: in the file of its idea, and a line in the table.
  write(
    "src/measures/level.ts",
    `${read("src/measures/level.ts")}\n${written("/** How far", "\nexport const words")}`,
  );
  add("src/measures/measures.ts", "import { floor, ", "overshoot, ");
  add("src/measures/measures.ts", "  swing,\n", "  overshoot,\n");

  // Adding a diagnostic: said where it is known.
  add(
    "src/design/elaborate.ts",
    "hint: \"add a supply, a signal or a part, or 'use' a block\",\n      });\n",
    `    if (design.parts.length === 1)
      report.warn("lonely-part", "the design has a single part", wholeText, { hint: "give it something to act on" });\n`,
  );

  // Adding a shipped block: its text, and the build.
  write(
    "examples/blocks/porch.ramp",
    "# A porch lamp behind its resistor.\nblock porch joins feed\n  resistor lead feed -> far    1 kohm\n  resistor glow far -> ground 1 kohm\nend\n",
  );
  expect(spawnSync(process.execPath, [join(copy, ".ci/blocks.mjs")]).status).toBe(0);

  // Adding a verb: one record and one line.
  write(
    "src/command/verbs/count.ts",
    `// The verb \`count\`: how many parts a design has.
import { load } from "../load.js";
import { status } from "../refusal.js";
import { otherValues } from "../sharedoptions.js";
import { designFile, verb } from "../verb.js";

export const countVerb = verb({
  word: "count",
  summary: "counts the parts of a design",
  operand: designFile,
  options: { ...otherValues },
  example: "count line.ramp",
  statuses: { 0: "counted", 2: "the design or an option is wrong" },
  async run({ operands: [file], options }) {
    const { design } = await load(file, options);
    return { parts: design.parts.length };
  },
  text: ({ parts }) => \`\${parts} parts\\n\`,
  json: ({ parts }) => ({ parts }),
  status: () => status.good,
});
`,
  );
  add(
    "src/command/verbs.ts",
    "export const verbs: Verbs = {\n",
    '  count: async () => (await import("./verbs/count.js")).countVerb,\n',
  );
}

let made: typeof library;
const program = join(copy, "built/main.js");

beforeAll(async () => {
  mkdirSync(join(copy, ".ci"), { recursive: true });
  for (const what of ["src", "examples/blocks", ".ci/blocks.mjs", "package.json"])
    cpSync(join(root, what), join(copy, what), { recursive: true });
  followAll();
  await build({
    entryPoints: { index: join(copy, "src/index.ts"), main: join(copy, "src/command/main.ts") },
    outdir: join(copy, "built"),
    bundle: true,
    splitting: true,
    platform: "node",
    format: "esm",
    packages: "external",
    logLevel: "error",
  });
  made = await import(join(copy, "built/index.js"));
});

afterAll(() => rmSync(copy, { recursive: true, force: true }));

const shining = `supply feed = 10 V
lamp glow feed -> mid 1 kohm, warm 1 V
resistor low mid -> ground 100 ohm
run for 1 ms
check "warm" value of mid at 0.5 ms is 1.727 V +- 0.1 %
case "cold" feed is 1 V
check "cold through" value of mid at 0.5 ms is 0.5 V +- 0.1 %
`;

it("a part is known to the parser, the march, the cases and the formatter", () => {
  // Warm: i = 9/R·1 V + v/R, so (10 − m)/1000 + 9/1000 = m/100, m = 19/11 V. Cold: 100 ohm and 100 ohm share 1 V.
  expect(made.verifyAll(made.compile(shining)).map(({ name, pass }) => [name, pass])).toEqual([
    ["warm", true],
    ["cold through", true],
  ]);
  expect(made.format(shining.replace("lamp glow", "lamp   glow")).text).toContain("lamp ");
  const [told] = made.inspect(shining.replace("lamp glow", "lamq glow")).diagnostics;
  expect(told.fix?.text ?? told.hint).toContain("lamp");
  const [without] = made.inspect(shining.replace(", warm 1 V", "")).diagnostics;
  expect(without.message).toContain("warm");
});

it("a measure is known to checks and to what is asked of a run", () => {
  // Of a series RLC with a damping of ζ = R/2 · √(C/L) = 0.1 the step overshoots by e^(−πζ/√(1 − ζ²)) (any text on control).
  const text = `signal step = path 0 V at 0 s, 1 V at 1 ns
inductor l step -> near 1 mH
resistor r near -> out 6.32455532 ohm
capacitor c out -> ground 1 uF
run for 10 ms, from rest`;
  const { value } = made.measure(made.simulate(made.compile(text)), "overshoot of out");
  expect(Math.abs(value / Math.exp((-Math.PI * 0.1) / Math.sqrt(0.99)) - 1)).toBeLessThan(1e-4);
});

it("a diagnostic is told with its hint, and stands on the page of all of them", () => {
  const { diagnostics } = made.inspect("supply p = 1 V");
  expect(diagnostics).toMatchObject([
    { code: "lonely-part", severity: "warning", hint: "give it something to act on" },
  ]);
  const page = diagnosticsPage(join(copy, "src"));
  expect(page).toContain("## lonely-part\n\n- the design has a single part — _give it something to act on_");
});

it("a block ships once the build has read it", () => {
  const text = `bring "shipped/porch"
supply p = 2 V
use porch as lamp joins p
run for 1 ms
check "half" value of lamp.far at 0.5 ms is 1 V +- 0.1 %`;
  expect(made.verifyAll(made.compile(text)).map(({ pass }) => pass)).toEqual([true]);
});

it("a verb runs, stands in the help, and completes", () => {
  const said = (...words: string[]) => {
    const { stdout, status } = spawnSync(process.execPath, [program, ...words], {
      cwd: root,
      encoding: "utf8",
    });
    return { stdout, status };
  };
  const { parts } = made.compile(readFileSync(join(root, "examples/line.ramp"), "utf8"));
  expect(said("count", "examples/line.ramp")).toEqual({ stdout: `${parts.length} parts\n`, status: 0 });
  expect(JSON.parse(said("count", "examples/line.ramp", "--json").stdout)).toMatchObject({
    parts: parts.length,
  });
  expect(said("help").stdout).toMatch(/^ {2}count +counts the parts of a design$/m);
  expect(said("completion", "bash").stdout).toContain("count");
});
