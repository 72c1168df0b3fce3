// Outputs at their limits on the page, in sentences, in the JSON and beside the table.
import { describe, expect, test } from "vitest";
import { type Clipping, clippings, compile, type Run, simulate, verifyAll } from "../../src/index.js";
import { clippingCells, clippingText } from "../../src/report/clipped.js";
import { exhibit, page } from "../../src/report/page.js";
import { panelGroups } from "../../src/report/selection.js";

const stage = (signal: string, more = "") => `title "Nest box: gain"
  supply vp = 5 V
  supply vm = -5 V
  signal camera = ${signal}
  amplifier gain camera -> bright minus tap, high vp, low vm, bandwidth 50 MHz, output 0 ohm
  resistor upper bright -> tap 4 kohm
  resistor lower tap -> ground 1 kohm
  ${more}`;
const sine = (volts: string, more = "") => stage(`sine -${volts} to ${volts}, at 1 kHz`, more);

function reported(text: string): { runs: Run[]; html: string } {
  const runs: Run[] = [];
  const results = verifyAll(compile(text), { ran: (run) => runs.push(run) });
  const shown = runs.map((run, i) => exhibit(run, i, []));
  const still = { tube: false, text, digest: () => "" };
  return { runs, html: page({ design: runs[0].design, runs: shown, results, ...still }).join("") };
}

/** Cells of the rows of the section, without markup. */
function rows(html: string): string[][] {
  const section = /<h2>At their limits<\/h2>[\s\S]*?<\/section>/.exec(html)?.[0] ?? "";
  return [...section.matchAll(/<tr><td>(.*?)<\/tr>/g)].map((m) =>
    m[1]
      .split("</td>")
      .map((cell) => cell.replace(/<[^>]*>/g, ""))
      .slice(0, -1),
  );
}

const row: Clipping = {
  part: "gain.stage",
  output: "bright",
  limit: "upper",
  begins: 0.01234567,
  lasts: 4e-3,
  times: 287,
  level: 3.5,
  picture: 0.375,
};

describe("in words", () => {
  test("a sentence names part, limit, level, beginning, time and picture level", () => {
    expect(clippingText(row)).toBe(
      "gain.stage clips at its upper limit, 3.5 V: from 12.346 ms on, 4 ms in all, " +
        "first at an average picture level of 37.5 %",
    );
    const { picture: _, ...plain } = row;
    expect(clippingText({ ...plain, limit: "lower", level: -3.5, begins: 0 })).toBe(
      "gain.stage clips at its lower limit, -3.5 V: from the start on, 4 ms in all",
    );
    expect(clippingText({ ...plain, limit: "both", level: 0 })).toContain(
      "has no room between its rails, 0 V:",
    );
    expect(clippingCells(plain).picture).toBe("");
    expect(clippingCells({ ...row, picture: 0 }).picture).toBe("0 %");
  });
});

describe("on the page", () => {
  test("each limit of each run that clips has a row; without any there is no section", () => {
    const { html } = reported(
      sine(
        "0.5 V",
        `check "clean" clipping time of gain below 1 us
         case "too much" camera is sine -1 V to 1 V, at 1 kHz
         check "clips" clipping time of gain below 1 us`,
      ),
    );
    expect(rows(html).map((cells) => cells.slice(0, 4))).toEqual([
      ["Case &quot;too much&quot;", "gain", "upper limit", "3.5 V"],
      ["Case &quot;too much&quot;", "gain", "lower limit", "−3.5 V"],
    ]);
    // A sine of 1 V passes 0.7 V after 123.4 us (arcsin).
    expect(rows(html)[0][4]).toMatch(/^123\.\d+ µs$/);
    expect(html).not.toContain("picture level");
    const clean = reported(sine("0.5 V", 'check "clean" clipping time of gain below 1 us'));
    expect(clean.html).not.toContain("At their limits");
  });

  test("video brings the picture level of the frame", () => {
    // 90 % of white, 0.63 V (ITU-R BT.1700), times five is 3.15 V: beyond 5 V less 2 V.
    const { html, runs } = reported(
      stage("video of 625/50, flat, level 90 %", "run for 10 ms").replace("50 MHz", "50 MHz, reach 2 V"),
    );
    expect(rows(html)).toHaveLength(1);
    expect(rows(html)[0].at(-1)).toBe("90 %");
    expect(clippings(runs[0])[0]).toMatchObject({ limit: "upper", picture: 0.9 });
    expect(html).toContain("picture level then");
  });

  test("names are escaped like every text of a design", () => {
    const { html } = reported(
      sine(
        "0.1 V",
        `case "<b>big</b>" camera is sine -1 V to 1 V, at 1 kHz
         check "clips" clipping time of gain below 1 us`,
      ),
    );
    expect(html).not.toContain("<b>big");
    expect(rows(html)[0][0]).toContain("&lt;b&gt;big");
  });
});

describe("in the picture", () => {
  test("a check on clipping shows the output that clips", () => {
    const run = simulate(compile(sine("1 V", 'check "clips" clipping time of gain each camera below 1 us')));
    const panels = panelGroups(run).flatMap((group) => group.panels);
    expect(panels.map((panel) => panel.title)).toEqual(["camera", "bright"]);
  });
});
