// The verb `draw`, and figures of a run on the schematic. What the figures are is compared with the run itself and with plain
// arithmetic; no outside source.
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { compile, simulate } from "../../src/index.js";
import { figuresOf } from "../../src/schematic/figures.js";
import { draw, mostDrawn } from "../../src/schematic/schematic.js";
import { file, folder, rampwright } from "./running.js";

const divider = `title "Divider <of> a feeder"
supply plus12 = 12 V
block half joins whole, middle
  resistor upper whole -> middle 1 kohm, rated 20 mW
  resistor lower middle -> ground 1 kohm
end
use half as first joins plus12, out
run for 1 ms
check "half is there" peak of out below 5 V
`;

test("a schematic is written, blocks closed and open", () => {
  const path = file(divider, "divider.ramp");
  const out = join(folder(), "divider.svg");
  const closed = rampwright(["draw", path, "--out", out]);
  expect(closed).toMatchObject({ status: 0, out: "" });
  expect(closed.err).toContain("3 parts, blocks closed");
  expect(readFileSync(out, "utf8")).toBe(draw(compile(divider, { name: path })));
  expect(rampwright(["draw", path, "--out", out, "--open", "first"]).err).toContain("first open");
  expect(readFileSync(out, "utf8")).toBe(draw(compile(divider, { name: path }), { open: ["first"] }));
  const piped = rampwright(["draw", path, "--out", "-", "--open", "all"]);
  expect(piped.err).toContain("standard output: 3 parts");
  expect(piped.out).toBe(draw(compile(divider, { name: path }), { open: true }));
});

test("without a title a drawing is called by its file, and tells nothing of the folders of a machine", () => {
  const path = file("resistor r a -> ground 1 kohm\nrun for 1 ms\n", "untitled.ramp");
  const { out } = rampwright(["draw", path, "--out", "-"]);
  expect(out).toContain(">untitled.ramp</text>");
  expect(out).not.toContain(folder());
});

test("what is asked for wrongly is told, and nothing is written", () => {
  const path = file(divider, "divider.ramp");
  const wrong = (...words: string[]) =>
    rampwright(["draw", path, "--out", join(folder(), "x.svg"), ...words]);
  expect(wrong("--open", "fist")).toMatchObject({ status: 2 });
  expect(wrong("--open", "fist").err).toContain("did you mean 'first'?");
  expect(wrong("--case", "none").err).toContain("no case is called 'none'");
  expect(rampwright(["draw", path, "--out", join(folder(), "x.pdf")]).status).not.toBe(0);
});

test("figures: voltages at places, the place of a failing check, the part beyond its rating", () => {
  const run = simulate(compile(divider));
  const { notes, failing, alarmed } = figuresOf(run);
  // 12 V over two equal resistors; 6 V over 1 kohm are 36 mW, above the 20 mW allowed.
  expect(notes.get("out")).toBe("6 V");
  expect(failing).toEqual(new Map([["out", "fails: half is there"]]));
  expect(alarmed).toEqual(["first.upper"]);
  const svg = draw(run.design, { open: true, notes, failing, alarmed });
  expect(svg).toMatch(/class="part alarm" data-part="first\.upper"/);
  // The red of the name, of what fails there, and of the wire below them.
  expect(svg).toMatch(/<text [^>]*fill="#a3201c"[^>]*>fails: half is there</);
  expect(svg).toMatch(/<text [^>]*fill="#a3201c"[^>]*>out</);
  // Its name stands once on its wire, outside of the block.
  expect(svg.match(/class="mark"/g)).toHaveLength(1);
  // A block that is closed is red where something in it is.
  expect(draw(run.design, { alarmed })).toContain('class="block alarmed"');
  expect(draw(run.design)).not.toContain('alarmed"');
  expect(svg).toContain("Divider &lt;of&gt; a feeder");
});

test("a design beyond the limit is refused before anything is drawn, one at the limit is drawn", () => {
  const ladder = (parts: number) => {
    const sections = Array.from({ length: parts - 1 }, (_, i) => `resistor r${i} p${i} -> p${i + 1} 1 kohm`);
    return compile(`supply p0 = 1 V\n${sections.join("\n")}\nrun for 1 ms\n`);
  };
  expect(() => draw(ladder(mostDrawn + 1))).toThrowError(
    expect.objectContaining({
      diagnostics: [
        expect.objectContaining({ code: "too-large-to-draw", message: expect.stringContaining("5001") }),
      ],
    }),
  );
  expect(draw(ladder(mostDrawn))).toMatch(/^<svg /);
});
