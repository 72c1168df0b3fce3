// Pictures: well-formed whatever the names, true and small with a million samples, the same bytes every time.
import { execFileSync } from "node:child_process";
import { describe, expect, it } from "vitest";
import { textWidth } from "../../src/report/lettering.js";
import { tracePicture } from "../../src/report/svg.js";
import { make } from "../waveforms/making.js";
import { board } from "./board.js";
import { gate } from "./sample.js";

const look = { title: "Nest-box monitor" };

function hasPython(): boolean {
  try {
    execFileSync("python3", ["-c", "import xml.dom.minidom"], { stdio: "ignore" });
    return true;
  } catch {
    return false;
  }
}

/** All texts of an SVG as a real XML parser reads them. */
function texts(svg: string): string[] {
  const program =
    "import sys, json, xml.etree.ElementTree as e\n" +
    "root = e.fromstring(sys.stdin.buffer.read())\n" +
    "print(json.dumps([''.join(t.itertext()) for t in root.iter() if t.tag.split('}')[1] in ('text','title','desc')]))";
  return JSON.parse(execFileSync("python3", ["-c", program], { input: svg, encoding: "utf8" }));
}

/** Points of all curves, as [x, y]. */
function curves(svg: string): [number, number][][] {
  return [...svg.matchAll(/<path d="M([^"]*)" fill="none" stroke="#\w+" stroke-width="1.75"/g)].map((m) =>
    m[1].split("L").map((p) => p.split(" ").map(Number) as [number, number]),
  );
}

describe("a board of two time scales, a million samples", () => {
  const groups = board();
  const svg = tracePicture(groups, look);

  it("is small, and draws each curve with a few points", () => {
    expect(svg.length).toBeLessThan(20_000);
    expect(curves(svg).length).toBe(4);
    for (const c of curves(svg)) expect(c.length).toBeLessThan(200);
  });

  it("keeps every curve inside its frame", () => {
    const frames = [
      ...svg.matchAll(
        /<rect x="([\d.]+)" y="([\d.]+)" width="([\d.]+)" height="([\d.]+)" fill="#ffffff"\/>/g,
      ),
    ].map((m) => m.slice(1).map(Number));
    expect(frames.length).toBe(4);
    curves(svg).forEach((points, i) => {
      const [x, y, width, height] = frames[i];
      for (const [px, py] of points) {
        expect(px).toBeGreaterThanOrEqual(x - 0.1);
        expect(px).toBeLessThanOrEqual(x + width + 0.1);
        expect(py).toBeGreaterThanOrEqual(y);
        expect(py).toBeLessThanOrEqual(y + height);
      }
    });
  });

  it("labels both axes in their own units, at 1-2-5 steps", () => {
    expect(svg).toContain("time (µs)");
    expect(svg).toContain("time (ms)");
    for (const label of ["0", "50", "100", "300", "10", "60"]) expect(svg).toContain(`>${label}</text>`);
  });

  it("names every trace beside its curve and every limit", () => {
    for (const name of ["line_gate", "line_ramp", "field_gate", "field_ramp"])
      expect(svg).toContain(`>${name}</text>`);
    expect(svg).toContain("fills the tube: 4 V ± 3 %");
    expect(svg).toContain(">third field</text>");
  });

  it("is the same again, whatever the clock, chance and locale do", () => {
    const forbid = () => {
      throw new Error("forbidden");
    };
    const kept = [Math.random, Date.now, Number.prototype.toLocaleString] as const;
    try {
      Math.random = forbid;
      Date.now = forbid;
      Number.prototype.toLocaleString = forbid;
      expect(tracePicture(groups, look)).toBe(svg);
    } finally {
      Math.random = kept[0];
      Date.now = kept[1];
      Number.prototype.toLocaleString = kept[2];
    }
  });
});

describe("truth", () => {
  it("shows a spike of one sample among a million at its height", () => {
    const n = 1_000_000;
    const value = new Array<number>(n).fill(0);
    value[654_321] = 1;
    const svg = tracePicture(
      [
        {
          title: "Spike",
          traces: [
            make(
              value.map((_, i) => i / n),
              value,
            ),
          ],
        },
      ],
      look,
    );
    const ys = curves(svg)[0].map(([, y]) => y);
    const tick = /y="([\d.]+)" font-size="12"[^>]*>1\.0<\/text>/.exec(svg)!;
    // The tick's label stands 4 px below its line.
    expect(Math.min(...ys)).toBeCloseTo(Number(tick[1]) - 4, 0);
  });

  it("draws a jump upright", () => {
    const svg = tracePicture([{ title: "Gate", traces: [gate("gate", 64e-6, 4.7e-6, 2)] }], look);
    const points = curves(svg)[0];
    const upright = points.filter(([x, y], i) => i > 0 && points[i - 1][0] === x && points[i - 1][1] !== y);
    expect(upright.length).toBe(3);
  });

  it("keeps to the curve within a fifth of a pixel where it leaves points out", () => {
    const n = 5000;
    const wave = (t: number) => Math.sin(20 * t) * Math.exp(-t);
    const trace = make(
      Array.from({ length: n }, (_, i) => i / (n - 1)),
      Array.from({ length: n }, (_, i) => wave(i / (n - 1))),
    );
    const points = curves(tracePicture([{ title: "Ring", traces: [trace] }], look))[0];
    const [left, right] = [points[0][0], points[points.length - 1][0]];
    // Pixels a volt, from the first two extremes of the damped sine, tan(20 t) = 20.
    const t1 = Math.atan(20) / 20;
    const t2 = t1 + Math.PI / 20;
    const ys = points.map(([, y]) => y);
    const perVolt = (Math.max(...ys) - Math.min(...ys)) / (wave(t1) - wave(t2));
    const zero = Math.min(...ys) + perVolt * wave(t1);
    for (let k = 1; k < points.length; k++) {
      const [xa, ya] = points[k - 1];
      const [xb, yb] = points[k];
      for (const s of [0.25, 0.5, 0.75]) {
        const t = (xa + s * (xb - xa) - left) / (right - left);
        // 0.15 px of tolerance, and the rounding of both coordinates to a tenth.
        expect(Math.abs(ya + s * (yb - ya) - (zero - perVolt * wave(t)))).toBeLessThan(0.15 + 0.35);
      }
    }
    expect(points.length).toBeLessThan(400);
  });
});

describe("limits", () => {
  it.each([
    ["between", { low: 0.4, high: 0.6 }, [0.4, 0.6]],
    ["below", { high: 0.6 }, [0, 0.6]],
    ["above", { low: 0.4 }, [0.4, 1]],
  ])("shades what a limit allows: %s", (_, bounds, [low, high]) => {
    const panel = {
      title: "ramp",
      traces: [make([0, 1], [0, 1], undefined, undefined, "ramp", "V")],
      limits: [{ ...bounds, label: "x" }],
    };
    const svg = tracePicture([panel], look);
    const [, y, height] = /<rect [^>]*y="([\d.]+)"[^>]*height="([\d.]+)" fill="#f3d9a4" fill-opacity/.exec(
      svg,
    )!;
    const edges = [...svg.matchAll(/d="M[\d.]+ ([\d.]+)H[\d.]+" stroke="#a87400"/g)].map(([, at]) =>
      Number(at),
    );
    expect(edges).toHaveLength(Object.keys(bounds).length);
    // Downwards in the picture is less: of a single bound, what is shaded lies below the edge of the highest, above that of the lowest.
    const [top, bottom] = [Number(y), Number(y) + Number(height)];
    if (high < 1) expect(top).toBeCloseTo(Math.min(...edges), 1);
    if (low > 0) expect(bottom).toBeCloseTo(Math.max(...edges), 1);
  });
});

describe("hostile input", () => {
  const name = `</text><script>alert("1")</script>&'\u202eevil\u0000\ud800`;
  const hostile = [
    {
      title: name,
      traces: [make([0, 1], [0, 1], undefined, undefined, name, "V")],
      limits: [{ low: 0.2, high: 0.4, label: name }],
      marks: [{ at: 0.5, label: name }],
    },
  ];

  it("escapes markup, quotes, direction marks and what XML forbids", () => {
    const svg = tracePicture(hostile, { title: name });
    expect(svg).not.toContain("<script");
    for (const bad of ["\u202e", "\u0000", "\ud800"]) expect(svg).not.toContain(bad);
    expect(svg).toContain("[U+202E]");
  });

  it.skipIf(!hasPython())("is well-formed to a real XML parser, and reads back as text", () => {
    const read = texts(tracePicture(hostile, { title: name }));
    const shown = `</text><script>alert("1")</script>&'[U+202E]evil\ufffd\ufffd`;
    expect(read[0]).toBe(shown);
    expect(read).toContain(shown);
    expect(texts(tracePicture(board(1000), look))[0]).toBe("Nest-box monitor");
  });

  it("keeps NaN and infinity out of the picture", () => {
    const v = [0, Number.NaN, 1, Number.POSITIVE_INFINITY, -1e308, 1e308];
    const svg = tracePicture(
      [
        {
          title: "Overflow",
          traces: [make([0, 1, 2, 3, 4, 5], v)],
          limits: [{ high: Number.NaN, label: "x" }],
        },
      ],
      look,
    );
    expect(svg).not.toMatch(/NaN|Infinity/);
  });

  it.each([
    ["nothing", []],
    ["a group without panels", [{ title: "", from: 0, to: 1, panels: [] }]],
    ["an empty span", [{ title: "", from: 1, to: 1, panels: [{ title: "", traces: [] }] }]],
  ])("refuses %s", (_, content) => {
    expect(() => tracePicture(content, look)).toThrow(RangeError);
  });

  it("draws an empty panel, a flat trace, and one sample", () => {
    const svg = tracePicture(
      [
        { title: "None", traces: [], from: 0, to: 1 },
        { title: "Flat", traces: [make([0, 1], [12, 12])] },
        { title: "One", traces: [make([0.5], [3])] },
      ],
      look,
    );
    expect(curves(svg).length).toBe(2);
    expect(svg).not.toMatch(/NaN|Infinity/);
  });
});

describe("lettering", () => {
  it("keeps the names of curves that end together apart, and inside the panel", () => {
    const traces = ["a", "b", "c", "d", "e"].map((n) => make([0, 1], [0, 0], undefined, undefined, n, "V"));
    const svg = tracePicture([{ title: "Close", traces }], look);
    const ys = [...svg.matchAll(/y="([\d.]+)" font-size="13"[^>]*>[a-e]<\/text>/g)].map((m) => Number(m[1]));
    ys.sort((a, b) => a - b);
    expect(ys.length).toBe(5);
    for (let i = 1; i < 5; i++) expect(ys[i] - ys[i - 1]).toBeGreaterThanOrEqual(14.9);
  });

  it.each([0, 0.3, 0.7, 1])("keeps a mark's words inside the panel, the mark at %f", (at) => {
    const label = "a very long remark about what happens here, ".repeat(6);
    const svg = tracePicture(
      [{ title: "Mark", traces: [make([0, 1], [0, 1])], marks: [{ at, label }] }],
      look,
    );
    const [left, width] = /<rect x="([\d.]+)" y="[\d.]+" width="([\d.]+)"[^>]*fill="#ffffff"/
      .exec(svg)!
      .slice(1)
      .map(Number);
    const [, x, words] = /<text x="([\d.]+)"[^>]*font-size="11.5"[^>]*>([^<]*)</.exec(svg)!;
    const end = svg.includes(`text-anchor="end" class="halo"`);
    const reach = textWidth(words, 11.5);
    expect(words.endsWith("…")).toBe(true);
    expect(Number(x) - (end ? reach : 0)).toBeGreaterThanOrEqual(left);
    expect(Number(x) + (end ? 0 : reach)).toBeLessThanOrEqual(left + width);
  });

  it("cuts a long name and keeps it whole in a tooltip", () => {
    const long = "a_name_that_is_much_too_long_for_its_margin";
    const svg = tracePicture(
      [{ title: "Long", traces: [make([0, 1], [0, 1], undefined, undefined, long)] }],
      look,
    );
    expect(svg).toContain(`<title>${long}</title>`);
    expect(svg).toContain("…</text>");
  });
});
