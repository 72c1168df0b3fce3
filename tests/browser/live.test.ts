// The page that computes, as the browser has it: knobs, cases, the text, links, files, and what must not happen.
import { readFileSync, writeFileSync } from "node:fs";
import type { Download, Page } from "playwright-core";
import { expect, test } from "vitest";
import { place } from "./drawn.js";
import { live, opened, settled } from "./livepages.js";
import { shoot, tooWide, violations, visit, widths } from "./open.js";

/** What a check measured, as the table says, without its unit. */
async function measured(page: Page, check: string): Promise<number> {
  const row = page.locator("#rows tr").filter({ hasText: check });
  return Number.parseFloat((await row.locator("td").nth(1).textContent()) ?? "");
}

test("the line sweep at both widths, light and dark: nothing against it, nothing beside the screen", async () => {
  const file = live("examples/line.ramp", "line");
  for (const width of widths)
    for (const dark of [false, true])
      await opened(file, { width, dark }, async (page) => {
        expect(await page.locator("#verdict").textContent()).toBe("All 8 checks pass.");
        expect(await tooWide(page)).toBe(false);
        expect(await violations(page)).toEqual([]);
        await shoot(page, `${file}.${width}${dark ? ".dark" : ""}.png`);
      });
});

// The size that a finger needs: WCAG 2.2, 2.5.5 (enhanced) asks for 44 by 44 px, 2.5.8 for 24 by 24.
test("on a telephone what is touched is large enough, and the verdict stays in sight of the knobs", async () => {
  const file = live("examples/line.ramp", "telephone");
  for (const [width, height] of [
    [360, 740],
    [740, 360],
  ])
    await opened(file, { width, height, touch: true }, async (page) => {
      const small =
        await page.evaluate(`[...document.querySelectorAll("button, select, summary, input")].flatMap((one) => {
        const { width, height } = one.getBoundingClientRect();
        const least = one.matches("#reset, #link, .case, .tools *, summary, .knob-value") ? 44 : 36;
        const ticked = one.type === "checkbox";
        return !ticked && width > 0 && (height < least - 0.5 || width < 44) ? [one.outerHTML] : [];
      })`);
      expect(small).toEqual([]);
      expect(await tooWide(page)).toBe(false);
      const knob = page.getByRole("slider", { name: "charge" });
      await knob.scrollIntoViewIfNeeded();
      await knob.focus();
      await page.keyboard.press("End");
      await settled(page);
      const { y = -1, height: tall = 0 } = (await page.locator("#verdict").boundingBox()) ?? {};
      expect(y).toBeGreaterThanOrEqual(0);
      expect(y + tall).toBeLessThan(height / 4);
      expect(await page.locator("#verdict").textContent()).toContain("fills the tube");
    });
});

test("one key on a knob is one run: browsers tell it twice, as `input` and as `change`", async () => {
  const before = async (page: Page) => {
    await page.addInitScript(`window.runs = [];
      const send = Worker.prototype.postMessage;
      Worker.prototype.postMessage = function (message, ...more) {
        if (message.type === "run" && message.part === "all") window.runs.push(message.turn);
        return send.call(this, message, ...more);
      };`);
  };
  await opened(live("examples/line.ramp", "once"), { before }, async (page) => {
    const begun = (await page.evaluate("window.runs.length")) as number;
    await page.getByRole("slider", { name: "timing" }).focus();
    await page.keyboard.press("ArrowRight");
    await settled(page);
    expect(await page.evaluate("window.runs.length")).toBe(begun + 1);
  });
});

test("a knob turns the ramp: its height is I t / C (Millman & Taub 1965)", async () => {
  await opened(live("examples/line.ramp", "knob"), {}, async (page) => {
    const before = await measured(page, "fills the tube");
    const drawn = async () =>
      Number.parseFloat((await page.locator('[data-trace="ramp"] .values').textContent())!);
    await page.locator(".stack").focus();
    await page.keyboard.press("ArrowRight");
    const atFirst = await drawn();
    const knob = page.getByRole("slider", { name: "timing" });
    await knob.focus();
    await page.keyboard.press("End");
    await settled(page);
    expect(await page.locator("#knobs .knob-value").first().inputValue()).toBe("22 nF");
    expect(await knob.getAttribute("aria-valuetext")).toBe("22 nF");
    // The switch's 5 ohm and the feed's 2 Mohm take less than a part in a hundred.
    expect((await measured(page, "fills the tube")) / before).toBeCloseTo(15 / 22, 2);
    expect(await page.locator("#verdict").textContent()).toContain("fills the tube");
    // What is drawn has turned as well, under a cursor that stays where it was.
    expect((await drawn()) / atFirst).toBeCloseTo(15 / 22, 2);
    await page.getByRole("button", { name: "timing back to what the text says" }).click();
    await settled(page);
    expect(await measured(page, "fills the tube")).toBe(before);
  });
});

test("of turns in a row the last one is shown, and none before it in its place", async () => {
  await opened(live("examples/line.ramp", "turns"), {}, async (page) => {
    // Whenever verdicts are written, the value in the box is noted beside what was measured.
    await page.evaluate(`
      window.noted = [];
      const box = document.querySelector(".knob-value");
      new MutationObserver(() => {
        const cell = document.querySelector("#rows td:nth-child(2)");
        if (cell) window.noted.push([Number.parseFloat(box.value), Number.parseFloat(cell.textContent)]);
      }).observe(document.getElementById("rows"), { childList: true });
      const knob = document.querySelector(".knob-way");
      for (const at of [100, 900, 300, 700, 500]) {
        knob.value = String(at);
        knob.dispatchEvent(new Event("input"));
      }`);
    await settled(page);
    const noted = (await page.evaluate("window.noted")) as [number, number][];
    expect(noted.length).toBeGreaterThan(0);
    // A closed form of the height within a part in a hundred: 1 mA for 59.6 us (ITU-R BT.1700: 64 us less 4.7 us of sync, cut half
    // way down the edges), into what the box says in nF.
    const last = noted.at(-1)!;
    expect(last[1] / (59.6 / last[0])).toBeCloseTo(1, 2);
    expect(last[0]).toBe(Number.parseFloat(await page.locator(".knob-value").first().inputValue()));
  });
});

test("a box says what it cannot read, and takes a letter code", async () => {
  await opened(live("examples/line.ramp", "box"), {}, async (page) => {
    const box = page.locator("#knobs .knob-value").first();
    await box.fill("12 V");
    await box.press("Enter");
    expect(await box.getAttribute("aria-invalid")).toBe("true");
    expect(await page.locator("#knobs .knob-why").first().textContent()).toContain("not a capacitance");
    expect(await violations(page)).toEqual([]);
    await box.fill("18n");
    await box.press("Enter");
    await settled(page);
    expect(await box.inputValue()).toBe("18 nF");
    expect(await box.getAttribute("aria-invalid")).toBeNull();
    await box.fill("-1 nF");
    await box.press("Enter");
    await page.locator("#refused li").waitFor();
    expect(await page.locator("#verdict").textContent()).toBe("These values are refused.");
    // What is still shown is of the values before, and marked so.
    await settled(page);
    expect(await page.locator(".old").count()).toBe(3);
    await box.fill("18n");
    await box.press("Enter");
    await settled(page);
    expect(await page.locator(".old").count()).toBe(0);
  });
});

test("a case is a button, and each tells its verdict", async () => {
  await opened(live("examples/line.ramp", "cases"), {}, async (page) => {
    const buttons = page.getByRole("group", { name: "Cases" }).getByRole("button");
    expect(await buttons.allTextContents()).toEqual([
      "As drawnpass",
      "camera unpluggedpass",
      "switch stuckpass",
    ]);
    await buttons.nth(2).click();
    await settled(page);
    expect(await buttons.nth(2).getAttribute("aria-pressed")).toBe("true");
    expect(await page.locator("#rows tr td:first-child").allTextContents()).toEqual([
      "feed bears itpeak current of feed.current",
      "feed stays coolpeak power of feed.power",
    ]);
  });
});

test("a link carries values and case, and is read where it is opened", async () => {
  const file = live("examples/line.ramp", "link");
  const fragment = "#set.timing=18+nF&case=camera+unplugged";
  await opened(file, { fragment }, async (page) => {
    expect(await page.locator("#knobs .knob-value").first().inputValue()).toBe("18 nF");
    expect(await page.getByRole("button", { name: "camera unplugged" }).getAttribute("aria-pressed")).toBe(
      "true",
    );
    await page.getByRole("button", { name: "Copy a link" }).click();
    await page.locator("#told:not(:empty)").waitFor();
    expect(new URL(page.url()).hash).toBe(fragment);
  });
  await opened(file, { fragment: "#set.timing=5+V&set.x=%3Cimg%20src=x%3E&case=%3Cb%3E" }, async (page) => {
    expect(await page.locator("#refused li").count()).toBe(3);
    expect(await page.locator("#refused img").count()).toBe(0);
  });
});

test("a changed text travels in the link, and what is no text in one is told", async () => {
  const file = live("examples/line.ramp", "travels");
  let fragment = "";
  await opened(file, {}, async (page) => {
    const editor = page.locator("#editor .cm-content");
    await editor.focus();
    await page.keyboard.press("Control+End");
    await page.keyboard.type("capacitor extra ramp -> ground 1 nF\n");
    await page.locator('html[data-settled]:not([data-settled="1"])').waitFor({ state: "attached" });
    await page.getByRole("button", { name: "Copy a link" }).click();
    await page.locator("#told:not(:empty)").waitFor();
    expect(await page.locator("#told").textContent()).not.toContain("does not carry");
    fragment = new URL(page.url()).hash;
    expect(fragment).toMatch(/^#text=[\w-]+$/);
  });
  await opened(file, { fragment }, async (page) => {
    expect(await page.locator("#editor .cm-content").textContent()).toContain("capacitor extra ramp");
  });
  await opened(file, { fragment: "#text=AAAA&case=switch+stuck" }, async (page) => {
    expect(await page.locator("#refused li").allTextContents()).toEqual([
      "The link: its text cannot be read",
    ]);
    expect(await page.getByRole("button", { name: "switch stuck" }).getAttribute("aria-pressed")).toBe(
      "true",
    );
  });
});

test("the text: a mistake is told at its place, its mend is a button, and the design follows", async () => {
  const text = readFileSync("examples/line.ramp", "utf8");
  await opened(live("examples/line.ramp", "text"), {}, async (page) => {
    const editor = page.locator("#editor .cm-content");
    await editor.focus();
    await page.keyboard.press("Control+End");
    await page.keyboard.type("capacitr extra ramp -> ground 1 nF\n");
    const mend = page.getByRole("button", { name: "write 'capacitor' for 'capacitr'" });
    await mend.waitFor();
    expect(await page.locator("#problems li").textContent()).toContain("'capacitr' begins no statement");
    expect(await page.locator("#editor .cm-lintRange-error").count()).toBe(1);
    expect(await violations(page)).toEqual([]);
    await page.screenshot({ path: place("live", "mistake.png") });
    const before = await measured(page, "fills the tube");
    await mend.click();
    await page.locator("#problems:empty").waitFor({ state: "attached" });
    await settled(page);
    // 15 nF and 1 nF beside each other are 16 nF.
    expect((await measured(page, "fills the tube")) / before).toBeCloseTo(15 / 16, 2);
    const saved = await taken(page, "Save the text");
    expect(saved.name).toBe("line.ramp");
    expect(saved.bytes.toString("utf8")).toBe(`${text}capacitor extra ramp -> ground 1 nF\n`);
  });
});

// What a browser writes into the page by itself the content policy blocks, and says so in the console, which `visit` reads.
test("lines that are selected are typed over, and the text offers its words there", async () => {
  await opened(live("examples/line.ramp", "over"), {}, async (page) => {
    await page.locator("#editor .cm-content").focus();
    await page.keyboard.press("Control+A");
    await page.keyboard.type("supp");
    await page.locator("#editor .cm-tooltip-autocomplete li").filter({ hasText: "supply" }).waitFor();
    expect(await page.locator("#editor .cm-line").allTextContents()).toEqual(["supp"]);
  });
});

test("the text offers its words, and the keyboard gets out of it", async () => {
  await opened(live("examples/line.ramp", "offers"), {}, async (page) => {
    const editor = page.locator("#editor .cm-content");
    await editor.focus();
    await page.keyboard.press("Control+End");
    await page.keyboard.type("capa");
    await page.locator("#editor .cm-tooltip-autocomplete li").filter({ hasText: "capacitor" }).waitFor();
    // The ring of the focus is around the editor, where nothing lies over it.
    expect(await page.evaluate("getComputedStyle(document.getElementById('editor')).outline")).toMatch(
      /solid 2px$/,
    );
    await page.keyboard.press("Escape");
    // What fits, by the grammar and by what the text names: a place behind a part, a unit behind a number, what is left of a measure.
    for (const [typed, offers] of [
      ["citor extra ra", "ramp"],
      ["mp -> ground 1 n", "nF"],
      ['F\ncheck "x" sweep er', "error"],
    ]) {
      await page.keyboard.type(typed);
      await page.locator("#editor .cm-tooltip-autocomplete li").getByText(offers, { exact: true }).waitFor();
      await page.keyboard.press("Escape");
    }
    await page.keyboard.press("Tab");
    const focused = await page.evaluate("document.activeElement.id");
    expect(focused).not.toBe("editor");
  });
});

test("pictures and samples are taken home", async () => {
  await opened(live("examples/line.ramp", "files"), {}, async (page) => {
    const svg = await taken(page, "Waveforms as SVG");
    expect(svg.name).toBe("nest-box-monitor-line-sweep.svg");
    expect(svg.bytes.toString("utf8")).toMatch(/^<svg .*<\/svg>\n$/s);
    const png = await taken(page, "Waveforms as PNG");
    // ISO/IEC 15948, 5.2: the signature of a PNG.
    expect([...png.bytes.subarray(0, 8)]).toEqual([137, 80, 78, 71, 13, 10, 26, 10]);
    writeFileSync(place("live", "taken.png"), png.bytes);
    const csv = await taken(page, "Samples as CSV");
    expect(csv.bytes.toString("utf8").split("\r\n")[0]).toBe("time (s),gate (V),ramp (V)");
  });
});

async function taken(page: Page, button: string): Promise<{ name: string; bytes: Buffer }> {
  const waiting = page.waitForEvent("download");
  await page.getByRole("button", { name: button }).click();
  const download: Download = await waiting;
  const path = place("live", `taken-${download.suggestedFilename()}`);
  await download.saveAs(path);
  return { name: download.suggestedFilename(), bytes: readFileSync(path) };
}

test("all of it can be reached and used by keyboard", async () => {
  await opened(live("examples/line.ramp", "keys"), {}, async (page) => {
    const met: string[] = [];
    for (let k = 0; k < 40; k++) {
      await page.keyboard.press("Tab");
      met.push(
        (await page.evaluate(
          "(() => { const e = document.activeElement; return e.id || e.className.split(' ')[0] || e.tagName; })()",
        )) as string,
      );
    }
    for (const one of ["skip", "case", "knob-0", "knob-0-value", "reset", "link", "stack", "svg", "save"])
      expect(met).toContain(one);
    await page.locator(".stack").focus();
    await page.keyboard.press("ArrowRight");
    await page.keyboard.press("m");
    for (let k = 0; k < 5; k++) await page.keyboard.press("ArrowRight");
    // A fiftieth of three lines each time (ITU-R BT.1700: 64 us).
    expect(await page.locator(".times").textContent()).toContain("Δt 19.2 µs · 1/Δt 52.083 kHz");
    expect(await page.locator('[data-trace="ramp"] .values').textContent()).toMatch(
      /V · second .* V · Δ .* V$/,
    );
    await page.keyboard.press("+");
    await page
      .locator(".shows")
      .filter({ hasNotText: /to 192 µs$/ })
      .waitFor({ state: "attached" });
    await page.keyboard.press("Home");
    await page
      .locator(".shows")
      .filter({ hasText: /0 s to 192 µs$/ })
      .waitFor({ state: "attached" });
  });
});

test("a run that stops early is no pass, with checks or without", async () => {
  // An ideal switch bridges the supply at 50 us.
  const stops = `supply plus12 = 12 V
current feed plus12 -> ramp 1 mA
capacitor hold ramp -> ground 10 nF
switch reset ramp -> ground closed before 10 us
switch bridge plus12 -> ground closed after 50 us
run for 100 us
`;
  const check = 'check "early" value of ramp at 20 us is 1 V +- 1 %\n';
  for (const [name, text, told] of [
    ["stops", stops, "The design has no checks. A run stopped early."],
    ["stops-checked", stops + check, "The one check passes. A run stopped early."],
  ]) {
    const design = place("live", `${name}.ramp`);
    writeFileSync(design, text);
    await opened(live(design, name), {}, async (page) => {
      const verdict = page.locator("#verdict");
      expect([await verdict.textContent(), await verdict.getAttribute("class")]).toEqual([told, "fail"]);
    });
  }
});

test("markup in a design is shown and does nothing", async () => {
  const evil =
    "<img src=x onerror=document.title=1></script><script>document.title=2</script>&lt;b&gt; ' \u202e";
  const text = readFileSync("examples/line.ramp", "utf8")
    .replace(/title ".*"/, `title "${evil}"`)
    .replace('case "switch stuck"', `case "${evil}"`)
    .replace('check "back in time"', `check "${evil}"`);
  const design = place("live", "markup.ramp");
  writeFileSync(design, text);
  await opened(live(design, "markup"), {}, async (page) => {
    expect(await page.locator("img").count()).toBe(0);
    expect(await page.locator("script").count()).toBe(3);
    expect(await page.title()).toContain("<img src=x onerror=document.title=1>");
    expect(await page.locator("#cases").textContent()).toContain(evil.slice(0, 40));
    expect(await page.locator("#rows").textContent()).toContain(evil.slice(0, 40));
  });
});

test("the board: first a quarter of a field, then all, and the picture is taken home", async () => {
  const file = live("examples/board.ramp", "board");
  await visit(file, { width: 1440, height: 1000 }, async (page) => {
    const caption = page.locator("figcaption");
    await caption.filter({ hasText: "a quarter of the lines" }).waitFor({ timeout: 200_000 });
    await shoot(page, `${file}.first.png`, { whole: false });
    await settled(page);
    expect(await page.locator("#verdict").textContent()).toBe("All 36 checks pass.");
    expect(await page.locator("figcaption").textContent()).toBe(
      "screen, 20 ms to 60 ms, the last whole frame",
    );
    expect(await violations(page)).toEqual([]);
    await shoot(page, `${file}.png`, { whole: false });
    const { bytes } = await taken(page, "Picture as PNG");
    writeFileSync(place("live", "screen.png"), bytes);
    expect(bytes.length).toBeGreaterThan(20_000);
  });
});
