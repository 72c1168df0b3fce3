// The core in the browser: the same verdicts as in Node, and the same waveform to the last bit.
import { readFileSync, writeFileSync } from "node:fs";
import { build } from "esbuild";
import { expect, test } from "vitest";
import { root } from "../command/running.js";
import { place } from "./drawn.js";
import { visit } from "./open.js";

const work = `
  const run = simulate(compile(text));
  const bytes = new Uint8Array(run.trace("ramp").value.slice().buffer);
  let sum = 2166136261;
  for (const byte of bytes) sum = Math.imul(sum ^ byte, 16777619) >>> 0;
  return verify(run).map((r) => r.pass).join() + " " + bytes.length + " " + sum;`;

test("the core runs in the browser and gives the same bits", async () => {
  const text = readFileSync("examples/line.ramp", "utf8");
  const { outputFiles } = await build({
    stdin: {
      contents: `import { compile, simulate, verify } from "./dist/index.js";
        const work = (text) => {${work}};
        document.body.textContent = "result: " + work(${JSON.stringify(text)});`,
      resolveDir: root,
    },
    bundle: true,
    format: "iife",
    platform: "browser",
    write: false,
    logLevel: "error",
  });
  const file = place("core", "core.html");
  writeFileSync(
    file,
    `<!doctype html><meta charset="utf-8"><body></body><script>${outputFiles[0].text}</script>`,
  );
  // The bundle that is packed, as whoever installed it has it.
  const { compile, simulate, verify } = (await import("../../dist/index.js" as string)) as Record<
    string,
    unknown
  >;
  const here = new Function("compile", "simulate", "verify", "text", work)(compile, simulate, verify, text);
  await visit(file, {}, async (page) => {
    await page
      .locator("body")
      .filter({ hasText: /^result: / })
      .waitFor({ state: "attached" });
    expect(await page.locator("body").textContent()).toBe(`result: ${here}`);
  });
});
