// Writes the page that computes of every example, and an index of them with pictures, into out/pages: plain files that any static
// host can serve. Needs the build.
import { execFileSync } from "node:child_process";
import { createHash } from "node:crypto";
import { mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { basename, join } from "node:path";
import { fileURLToPath } from "node:url";
import { compile, png, raster, simulate, verify } from "../dist/index.js";
import { indexPage } from "../dist/live/indexpage.js";
import { panelGroups } from "../dist/report/selection.js";
import { tracePicture } from "../dist/report/svg.js";
import { tubes } from "../dist/tube/screen.js";

process.chdir(fileURLToPath(new URL("..", import.meta.url)));
const place = "out/pages";
rmSync(place, { recursive: true, force: true });
mkdirSync(place, { recursive: true });

const pages = [];
for (const example of readdirSync("examples").filter((name) => name.endsWith(".ramp"))) {
  const path = join("examples", example);
  const file = `${basename(example, ".ramp")}.html`;
  execFileSync(process.execPath, ["dist/rampwright.js", "live", path, "--out", join(place, file)], {
    stdio: ["ignore", "inherit", "inherit"],
  });
  pages.push({ file, ...about(compile(readFileSync(path, "utf8"), { name: path })) });
}
const digest = (text) => createHash("sha256").update(text, "utf8").digest("base64");
writeFileSync(join(place, "index.html"), indexPage(pages, digest));
console.error(`${place}: ${pages.length} pages and their index`);

/** What the index says of a design, from a run of it as drawn. */
function about(design) {
  const run = simulate(design);
  const failed = verify(run).filter(({ pass }) => !pass).length;
  const { checks, cases, title } = design;
  const verdict = failed === 0 ? "all pass" : `${failed} fail`;
  const words = `${checks.length} checks as drawn, ${verdict}; ${cases.length} ${cases.length === 1 ? "case" : "cases"}.`;
  const [group] = panelGroups(run);
  const waves = group
    ? [
        {
          address: address("image/svg+xml", tracePicture([group], { title, width: 640 })),
          words: `Waveforms of ${title}`,
        },
      ]
    : [];
  const screens = tubes(design.parts).map((tube) => ({
    address: address("image/png", png(raster(run, { tube, width: 384, height: 288 }))),
    words: `What the beam draws on ${tube}`,
  }));
  return { title, words, pictures: screens.length > 0 ? screens : waves };
}

function address(type, content) {
  return `data:${type};base64,${Buffer.from(content).toString("base64")}`;
}
