// Axes: round steps, one prefix, labels that say what they mark; escaping.
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { coordinate, element, safe, typeset, visible } from "../../src/report/markup.js";
import { scale } from "../../src/report/scale.js";

const labels = (s: ReturnType<typeof scale>) => s.ticks.map((t) => t.label).join(" ");

describe("scale", () => {
  it.each([
    [0, 320e-6, "s", 7, "0 50 100 150 200 250 300", "µs"],
    [0, 60e-3, "s", 7, "0 10 20 30 40 50 60", "ms"],
    [-0.28, 4.28, "V", 5, "0 1 2 3 4", "V"],
    [-0.3, 0.7, "V", 5, "−200 0 200 400 600", "mV"],
    [2e-3, 2.3e-3, "s", 6, "2.00 2.05 2.10 2.15 2.20 2.25 2.30", "ms"],
    [0, 1.2, "V", 6, "0 0.2 0.4 0.6 0.8 1.0 1.2", "V"],
    [0, 4e3, "V", 4, "0 1 2 3 4", "kV"],
  ])("%f to %f %s in %i", (from, to, unit, room, want, shown) => {
    const s = scale({ from, to }, unit, { start: 0, end: 100, room });
    expect(labels(s)).toBe(want);
    expect(s.unit).toBe(shown);
  });

  it("counts a short span long after the start from its own start", () => {
    const s = scale({ from: 2, to: 2 + 320e-6 }, "s", { start: 0, end: 100, room: 7 });
    expect(s.origin).toBe(2);
    expect(labels(s)).toBe("0 50 100 150 200 250 300");
    expect(s.unit).toBe("µs");
  });

  it("counts a ripple from a round level", () => {
    const s = scale(
      { from: 11.9994, to: 12.0012 },
      "V",
      { start: 0, end: 100, room: 5 },
      { far: 500, round: true },
    );
    expect(s.origin).toBe(12);
    expect(labels(s)).toBe("−0.5 0 0.5 1.0");
    expect(s.unit).toBe("mV");
  });

  it("has ticks inside the range, no more than there is room for, each said truly and none alike", () => {
    const prefixes: Record<string, number> = { f: -15, p: -12, n: -9, µ: -6, m: -3, "": 0, k: 3, M: 6, G: 9 };
    fc.assert(
      fc.property(
        fc.double({ min: -1e3, max: 1e3, noNaN: true }),
        fc.double({ min: -9, max: 6, noNaN: true }),
        fc.integer({ min: 2, max: 20 }),
        (from, power, room) => {
          const size = 10 ** power;
          const s = scale({ from, to: from + size }, "V", { start: 0, end: 500, room });
          expect(s.ticks.length).toBeLessThanOrEqual(room + 1);
          expect(new Set(s.ticks.map((t) => t.label)).size).toBe(s.ticks.length);
          for (const t of s.ticks) {
            expect(s.pixel(t.value)).toBeGreaterThanOrEqual(-0.01);
            expect(s.pixel(t.value)).toBeLessThanOrEqual(500.01);
            const said = Number(`${t.label.replace("−", "-")}e${prefixes[s.unit.slice(0, -1)]}`) + s.origin;
            expect(Math.abs(said - t.value)).toBeLessThanOrEqual(1e-6 * size + 1e-12 * Math.abs(from));
          }
        },
      ),
    );
  });
});

describe("markup", () => {
  it("escapes the five signs of XML 1.0, section 2.4", () => {
    expect(safe(`<a href="x">&'`)).toBe("&lt;a href=&quot;x&quot;&gt;&amp;&#39;");
  });

  it("never lets a character through that XML 1.0 forbids (section 2.2)", () => {
    fc.assert(
      fc.property(fc.string({ unit: "binary" }), (text) => {
        expect(visible(visible(text))).toBe(visible(text));
        for (const c of safe(text)) {
          const code = c.codePointAt(0)!;
          const fine =
            code === 9 ||
            code === 10 ||
            code === 13 ||
            (code >= 0x20 && code <= 0xd7ff) ||
            (code >= 0xe000 && code <= 0xfffd) ||
            code >= 0x10000;
          expect(fine).toBe(true);
          expect("<>\"'").not.toContain(c);
        }
      }),
    );
    expect(safe("\ud800a\udc00\u0000\ufffe")).toBe("\ufffda\ufffd\ufffd\ufffd");
  });

  // ISO 80000-1:2009, 7.2: the minus sign; a hyphen joins words.
  it("sets minus signs of numbers, and leaves hyphens and arrows", () => {
    expect(typeset("-300 mV to -1.5 V")).toBe("\u2212300 mV to \u22121.5 V");
    expect(typeset("(-.5 V)")).toBe("(\u2212.5 V)");
    for (const words of ["nest-box-2", "a -> b", "12-bit", "--"]) expect(typeset(words)).toBe(words);
  });

  it("writes elements and coordinates", () => {
    expect(element("a", { x: 1.005, y: undefined, z: '"' }, "b")).toBe('<a x="1" z="&quot;">b</a>');
    expect([1.5, -0.001, 100, 12.345].map(coordinate)).toEqual(["1.5", "0", "100", "12.35"]);
    expect(() => coordinate(Number.NaN)).toThrow(RangeError);
  });
});
