// What a report shows beside its runs by choice: traces, stress with the schematic's figures, and the spread of the tolerances.
import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { beforeAll, describe, expect, test } from "vitest";
import { folder, rampwright } from "./running.js";

// 10 V across 1 kohm: 10 mA and 100 mW (Ohm and Joule), twice what the resistor is rated for.
const text = `title "Nest box: a divider"
given upper = 1 kohm +- 10 %
supply plus10 = 10 V
resistor heats plus10 -> ground 1 kohm, rated 50 mW
resistor top plus10 -> half upper
resistor bottom half -> ground 1 kohm
run for 1 ms
check "half" mean of half between 4.9 V and 5.1 V`;

const report = (...words: string[]) => {
  const { status, out, err } = rampwright(["report", "-", "--out", "-", ...words], { input: text });
  return { status, err, page: out };
};

describe("a report with its studies", () => {
  let page = "";
  beforeAll(() => {
    page = report("--stress", "--spread", "60", "--traces", "heats.current").page;
  });

  test("tells power and current, and fails what is rated for less", () => {
    const row = /<tr class="bad"><td class="k">heats.*?<\/tr>/s.exec(page)?.[0] ?? "";
    expect(row).toContain("100 mW");
    expect(row).toContain("10 mA");
    expect(row).toContain("200 %");
    expect(row).toContain("FAIL");
    expect(page.match(/<tr class="bad"><td class="k">/g)).toHaveLength(1);
  });

  test("draws what is asked for too much in red, on the schematic of the run", () => {
    const svg = /figures of this run<\/summary>.*?<\/svg>/s.exec(page)?.[0] ?? "";
    expect(svg).toMatch(/class="part alarm" data-part="heats"/);
    expect(svg).not.toMatch(/class="part alarm" data-part="top"/);
    expect(svg).toMatch(/>half<\/text>\s*<text [^>]*>5 V</);
  });

  test("tells the spread: its ends are those of the divider at both ends of the tolerance, or less", () => {
    const row = /<h2>Spread<\/h2>.*?<tbody>\s*(<tr.*?<\/tr>)/s.exec(page)?.[1] ?? "";
    const volts = [...row.matchAll(/([\d.]+) V<\/td>/g)].map(([, v]) => Number(v));
    const [designed, lowest, , highest] = volts;
    expect(designed).toBe(5);
    // 10 V / (1 + 1.1) and 10 V / (1 + 0.9).
    expect(lowest).toBeGreaterThan(10 / 2.1 - 1e-3);
    expect(highest).toBeLessThan(10 / 1.9 + 1e-3);
    expect(highest - lowest).toBeGreaterThan(0.2);
    expect(row).toContain("upper");
  });

  test("draws the trace that was asked for, which no check looks at", () => {
    expect(/<svg(?:(?!<\/svg>).)*heats\.current in A/s.test(page)).toBe(true);
    expect(report().page).not.toContain("heats.current in A");
  });
});

test("without being asked for, a page has neither", () => {
  const { page, status } = report();
  expect(status).toBe(0);
  expect(page).not.toContain("<h3>Stress</h3>");
  expect(page).not.toContain("<h2>Spread</h2>");
});

test("a trace that the design does not have is told before any run", () => {
  const { status, err } = report("--traces", "hal");
  expect(status).toBe(2);
  expect(err).toContain("'hal'");
});

test("check draws traces into its pictures, and refuses them where there are none", () => {
  const into = folder();
  rampwright(["check", "-", "--pictures", into, "--traces", "heats.power,top.voltage"], { input: text });
  const drawn = readdirSync(into).map((name) => readFileSync(join(into, name), "utf8"));
  expect(drawn).toHaveLength(1);
  expect(drawn[0]).toContain("heats.power in W");
  expect(drawn[0]).toContain("top.voltage in V");
  expect(rampwright(["check", "-", "--traces", "half"], { input: text }).status).toBe(2);
});
