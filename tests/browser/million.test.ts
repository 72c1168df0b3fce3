// Two million samples in a page: they are all there, and drawn. How long that takes is told and not judged, since a machine may have
// other things to do; what is judged is how much is drawn for each picture of the screen, which no machine changes.
import { createHash } from "node:crypto";
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import type { CDPSession, Page } from "playwright-core";
import { expect, test } from "vitest";
import { compile, simulate, verify } from "../../src/index.js";
import { pack } from "../../src/report/packedstack.js";
import { exhibit, page } from "../../src/report/page.js";
import { Trace } from "../../src/waveforms/trace.js";
import { root } from "../command/running.js";
import { place } from "./drawn.js";
import { visit } from "./open.js";

const each = 500_000;

/** A sawtooth with a ripple, a sample every 40 ns; one sample alone stands far out. */
function long(name: string, k: number): Trace {
  const time = Float64Array.from({ length: each }, (_, i) => i * 40e-9);
  const value = time.map((t, i) => ((t * 15625) % 1) * 4 + 0.1 * Math.sin(i * (0.5 + k)));
  value[123_456] = 9;
  return new Trace({ name, unit: "V", time, value });
}

test("two million samples open and zoom", async () => {
  const text = `title "Nest box: very much"
supply plus5 = 5 V
resistor feed plus5 -> ramp 1 kohm
run for 1 ms
check "there" peak of ramp above 1 V`;
  const run = simulate(compile(text));
  const results = verify(run);
  const panels = [0, 1, 2, 3].map((k) => ({ trace: long(`trace${k}`, k), limits: [], spare: false }));
  const stack = {
    title: "As drawn",
    from: 0,
    to: each * 40e-9,
    panels,
    periods: [],
    marks: [],
    beams: [],
    deciders: [],
  };
  const contents = {
    design: run.design,
    runs: [{ ...exhibit(run, 0, results), moving: pack(stack) }],
    results,
    tube: false,
    text,
    program: readFileSync(join(root, "dist", "page.js"), "utf8"),
    digest: (of: string) => createHash("sha256").update(of).digest("base64"),
  };
  const file = place("million", "million.html");
  const pieces = page(contents);
  writeFileSync(file, pieces.join(""));
  let session: CDPSession;
  const before = async (blank: Page) => {
    session = await blank.context().newCDPSession(blank);
    await session.send("Performance.enable", { timeDomain: "threadTicks" });
  };
  // Time of the page's own thread at work, which others on the machine do not lengthen, s.
  const worked = async () => {
    const { metrics } = await session.send("Performance.getMetrics");
    return metrics.find(({ name }) => name === "TaskDuration")!.value;
  };
  await visit(file, { before }, async (opened) => {
    await opened.locator(".stack .u-over").first().waitFor();
    await opened.locator(".shows").filter({ hasText: /./ }).waitFor({ state: "attached" });
    const opening = await worked();
    // What is asked of the canvases while the wheel turns, three times for each picture of the screen.
    await opened.evaluate(`
      window.asked = { corners: 0, clearings: 0 };
      const count = (name, what) => {
        const own = CanvasRenderingContext2D.prototype[name];
        CanvasRenderingContext2D.prototype[name] = function (...all) {
          window.asked[what]++;
          return own.apply(this, all);
        };
      };
      for (const name of ["lineTo", "moveTo", "fillRect"]) count(name, "corners");
      count("clearRect", "clearings");`);
    const start = await worked();
    const turned = (await opened.evaluate(`new Promise((done) => {
      const over = document.querySelector('.u-over');
      document.querySelector('.stack').focus();
      const { left, width } = over.getBoundingClientRect();
      const start = performance.now();
      let frames = 0;
      const turn = () => {
        const deltaY = frames % 40 < 20 ? -20 : 20;
        for (let k = 0; k < 3; k++) over.dispatchEvent(new WheelEvent('wheel', { deltaY, clientX: left + width / 3, bubbles: true, cancelable: true }));
        if (++frames < 60) requestAnimationFrame(turn);
        else requestAnimationFrame(() => done({ frames, seconds: (performance.now() - start) / 1000, width, ...window.asked }));
      };
      requestAnimationFrame(turn);
    })`)) as Record<"frames" | "seconds" | "width" | "corners" | "clearings", number>;
    const took = ((await worked()) - start) / turned.frames;
    console.log(
      `two million samples, ${(pieces.join("").length / 1e6).toFixed(1)} MB: open with ${Math.round(1000 * opening)} ms of work, ` +
        `${(turned.frames / turned.seconds).toFixed(1)} frames a second while zooming, ${(1000 * took).toFixed(1)} ms of work each`,
    );
    // The one sample far out is drawn, though two thousand lie under each pixel: its column has ink near the top.
    await opened.keyboard.press("Home");
    await opened.waitForTimeout(300);
    const ink = await opened.evaluate(`(() => {
      const canvas = document.querySelector('.uplot canvas');
      const over = document.querySelector('.u-over');
      const box = canvas.getBoundingClientRect();
      const inner = over.getBoundingClientRect();
      const x = inner.left - box.left + inner.width * 123456 / ${each};
      const { data } = canvas.getContext('2d').getImageData(Math.round(x) - 2, inner.top - box.top + 10, 5, 30);
      return data.some((v, i) => i % 4 === 3 && v > 40);
    })()`);
    expect(ink).toBe(true);
    expect(turned.frames).toBe(60);
    // Each panel is drawn once a picture, however often the wheel has turned meanwhile.
    expect(turned.clearings).toBeLessThanOrEqual((turned.frames + 1) * panels.length);
    expect(turned.clearings).toBeGreaterThan(turned.frames);
    // A panel takes some two corners a pixel, whether three or two thousand samples lie under it: a band has its low, high and mean.
    expect(turned.corners / turned.clearings).toBeLessThan(4 * turned.width);
  });
});
