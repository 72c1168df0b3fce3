// Tests in a real browser, without any package for it: Chromium loads a file, runs what is in it and prints the page.
// Takes the browser's path; draws every picture and page anew into out/browser/, looks at what the browser made of them,
// and runs the core there. Prints a line a test, writes out/browser.json, exits 1 when one failed.
import { execFileSync } from "node:child_process";
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import { build } from "esbuild";
import { compile, simulate, verify } from "../dist/index.js";

process.chdir(fileURLToPath(new URL("..", import.meta.url)));
const browser = process.argv[2];
const place = "out/browser";
const profile = mkdtempSync(join(tmpdir(), "rampwright-browser-"));
let passed = 0;
let failed = 0;

rmSync(place, { recursive: true, force: true });
mkdirSync(place, { recursive: true });
rampwright("check", "examples/nestbox.ramp", "--pictures", place);
rampwright("run", "examples/field.ramp", "--until", "60 ms", "--out", join(place, "field-traces.svg"));
for (const file of readdirSync(place)) {
  test(`${file} is a picture`, () => {
    const page = load(join(place, file));
    if (/parsererror/i.test(page)) throw new Error("the browser cannot read it");
    if (!/^<svg /.test(page) || !/<path /.test(page)) throw new Error("there is no drawing");
    if (/NaN|Infinity/.test(page)) throw new Error("a coordinate is no number");
    shoot(join(place, file));
  });
}

test("the report stands alone", () => {
  const file = join(place, "report.html");
  rampwright("report", "examples/nestbox.ramp", "--out", file);
  const page = load(file);
  const drawings = page.match(/<svg /g)?.length ?? 0;
  if (drawings !== 11) throw new Error(`${drawings} pictures instead of 11`);
  if (!page.includes("<footer>")) throw new Error("the page ends too soon");
  shoot(file);
});

test("markup in a design is shown and does nothing", () => {
  const evil = "<img src=x onerror=document.title=1><script>document.title=2</script>&lt;b&gt; ' \u202e";
  const text = readFileSync("examples/line.ramp", "utf8").replace(/title ".*"/, `title "${evil}"`);
  const design = join(place, "markup.ramp");
  writeFileSync(design, text);
  const file = join(place, "markup.html");
  rampwright("report", design, "--out", file);
  const page = load(file);
  if (/<(img|script)\b/.test(page)) throw new Error("it became an element");
  if (!page.includes("<title>&lt;img src=x onerror=document.title=1&gt;"))
    throw new Error("the title is not shown as written");
});

await core();

rmSync(profile, { recursive: true, force: true });
writeFileSync("out/browser.json", JSON.stringify({ numPassedTests: passed, numFailedTests: failed }));
process.exitCode = failed > 0 || passed === 0 ? 1 : 0;

/** The core in the browser gives the same verdicts as in Node, and the same waveform to the last bit. */
async function core() {
  const text = readFileSync("examples/line.ramp", "utf8");
  const work = `
    const run = simulate(compile(text));
    const bytes = new Uint8Array(run.trace("ramp").value.slice().buffer);
    let sum = 2166136261;
    for (const byte of bytes) sum = Math.imul(sum ^ byte, 16777619) >>> 0;
    return verify(run).map((r) => r.pass).join() + " " + bytes.length + " " + sum;`;
  const file = join(place, "core.html");
  await build({
    stdin: {
      contents: `import { compile, simulate, verify } from "./dist/index.js";
        const work = (text) => {${work}};
        document.body.textContent = "result: " + work(${JSON.stringify(text)});`,
      resolveDir: ".",
    },
    bundle: true,
    format: "iife",
    platform: "browser",
    outfile: join(place, "core.js"),
    logLevel: "warning",
  });
  writeFileSync(file, '<!doctype html><meta charset="utf-8"><body></body><script src="core.js"></script>');
  test("the core runs in the browser and gives the same bits", () => {
    const here = new Function("compile", "simulate", "verify", "text", work)(compile, simulate, verify, text);
    const there = /result: ([^<]*)/.exec(load(file))?.[1];
    if (there !== here) throw new Error(`${there ?? "nothing"} in the browser, ${here} in Node`);
  });
}

function rampwright(...words) {
  execFileSync(process.execPath, ["dist/rampwright.js", ...words], { stdio: "ignore" });
}

function test(name, action) {
  try {
    action();
    passed++;
    console.log(`  passed  ${name}`);
  } catch (error) {
    failed++;
    console.log(`  FAILED  ${name}: ${error.message.split("\n")[0]}`);
  }
}

/** The page as the browser has it once it is loaded and its scripts have run. */
function load(file) {
  return chromium(["--dump-dom", "--virtual-time-budget=20000", pathToFileURL(file).href]);
}

/** A picture of the page, beside it, for people to look at; a blank one is an error. */
function shoot(file) {
  const png = `${file}.png`;
  chromium([`--screenshot=${png}`, "--window-size=1200,900", pathToFileURL(file).href]);
  if (readFileSync(png).length < 5000) throw new Error("the page is blank");
}

function chromium(words) {
  if (!browser) throw new Error("there is no browser");
  const always = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--hide-scrollbars",
    `--user-data-dir=${profile}`,
  ];
  return execFileSync(browser, [...always, ...words], {
    encoding: "utf8",
    timeout: 120_000,
    stdio: ["ignore", "pipe", "ignore"],
    maxBuffer: 1 << 28,
  });
}
