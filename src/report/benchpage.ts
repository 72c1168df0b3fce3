// The bench sheet as a page to print, A4 and letter: cautions first, then a row for each test point with an oscilloscope screen
// as it should look and a blank to write in. It stands alone and loads nothing.
import { engineering } from "../base/quantity.js";
import { shownUnit } from "../design/heading.js";
import type { BenchFigure } from "../workshop/benchfigure.js";
import type { BenchPoint, BenchSheet } from "../workshop/benchsheet.js";
import type { Meaning } from "../workshop/meanings.js";
import { divisions, type ScopeSetting } from "../workshop/scopesetting.js";
import { cautions, standing } from "./cautions.js";
import { coordinate, element, pageHead, safe, safeFigure } from "./markup.js";

/** One division of a drawn screen, px. */
const division = 16;
/** Faults that are named; the rest are counted. */
const named = 3;

const style = `
@page{margin:8mm}
*{box-sizing:border-box}
body{margin:0 auto;max-width:190mm;padding:4mm;color:#1d2733;background:#fff;font:7.2pt/1.22 system-ui,sans-serif;
font-variant-numeric:tabular-nums;overflow-wrap:anywhere}
h1{font-size:13pt;line-height:1.2;margin:0 0 1mm}
p{margin:0 0 1.5mm}
.caution{border:.4mm solid #c98a00;background:#fff6dc;padding:1.2mm 2mm;margin:0 0 2mm;font-size:7.5pt;
print-color-adjust:exact;-webkit-print-color-adjust:exact}
.caution ul{margin:0;padding-left:4mm;columns:2;column-gap:6mm}
.caution p{margin:.6mm 0 0}
table{border-collapse:collapse;width:100%;table-layout:fixed}
th,td{text-align:left;vertical-align:top;padding:.7mm 1mm;border:.2mm solid #8b96a1}
thead th{background:#f3f5f7;font-size:7pt;print-color-adjust:exact;-webkit-print-color-adjust:exact}
thead{display:table-header-group}
tr{break-inside:avoid}
td small{display:block;color:#5b6875;font-size:7pt}
td b{font-weight:600}
svg{display:block;width:100%;height:auto}
i{font-style:normal;color:#5b6875}
.blank{border-bottom:.2mm solid #8b96a1;height:6mm}
.how{color:#5b6875;font-size:7pt}
@media print{body{padding:.3mm;max-width:none}}
@media screen and (max-width:620px){body{font-size:11pt;line-height:1.35}.caution,.how,td small{font-size:10.5pt}.caution ul{columns:1}
table,tbody,tr,td{display:block;width:100%}colgroup,thead,td:last-child{display:none}tr{margin-bottom:4mm}td{border-width:0 .2mm}
td:first-child{border-top-width:.2mm;background:#f3f5f7}td:nth-last-child(2){border-bottom-width:.2mm}svg{max-width:90mm}}
`.trim();

/** The page as HTML text. */
export function benchPage(sheet: BenchSheet): string {
  const { title, points, boards, missing, faults } = sheet;
  const heads = ["where", "screen", "levels and times", "instrument", "if it looks wrong", "read"];
  const widths = [10, 15, 29, 15, 23, 8];
  const ranges =
    boards === 0
      ? "Nothing in the design has a tolerance: the figures are those of the design as drawn."
      : `In brackets the range of ${boards} boards drawn within their tolerances${missing > 0 ? `, ${missing} of which could not be run` : ""}.`;
  const means = faults
    ? "What it means where it looks wrong comes from every single fault of the design."
    : "What it means where it looks wrong is told by the parts that feed a place; with a table of single faults it says more.";
  return [
    pageHead(`${title}: sheet for the bench`, style, "default-src 'none'; style-src 'unsafe-inline'"),
    `<h1>${safe(title)}: sheet for the bench</h1>`,
    cautionBox(),
    // Above the table: below it, it could be alone on a sheet of paper.
    `<p class="how">In the order of the signal's way. ${ranges} ${means} Volts a division count at the tip of the probe.</p>`,
    "<table>",
    `<colgroup>${widths.map((w) => `<col style="width:${w}%">`).join("")}</colgroup>`,
    `<thead><tr>${heads.map((h) => `<th scope="col">${h}</th>`).join("")}</tr></thead>\n<tbody>`,
    ...points.map(rowOf),
    "</tbody>\n</table>",
    "</body>\n</html>\n",
  ].join("\n");
}

/** The cautions, starting with the one about the earth clip, since the sheet is about probing. */
function cautionBox(): string {
  const clip = cautions.filter((c) => c.includes("earth clip"));
  const items = [...clip, ...cautions.filter((c) => !clip.includes(c))];
  return (
    `<section class="caution" aria-label="Cautions">\n<ul>\n${items.map((c) => `<li>${safe(c)}</li>`).join("\n")}\n</ul>\n` +
    `<p>${safe(standing)}</p>\n</section>`
  );
}

function rowOf(point: BenchPoint, index: number): string {
  const { name, of } = point;
  const called = name === "" ? "" : `<small>${safe(name)}</small>`;
  const read = (all: readonly BenchFigure[]) =>
    all.map((f) => `<i>${safe(f.what)}</i> ${unbroken(safeFigure(figureText(f)))}`);
  const lines = [read(point.levels).join(" · "), read(point.times).join(" · "), ...read(point.checks)];
  const list = lines.map((line) => `<div>${line}</div>`).join("");
  const setting = settingLines(point).map((line) => `<div>${unbroken(safeFigure(line))}</div>`);
  const means = point.meanings.map(
    (m) => `<div><b>${m.looks}:</b> ${safe(meaningText(m, point.unit))}</div>`,
  );
  const cells = [
    `<b>${index + 1}. ${safe(of)}</b>${called}`,
    screen(point),
    list,
    setting.join(""),
    means.join(""),
    '<div class="blank"></div><div class="blank"></div>',
  ];
  return `<tr>${cells.map((cell) => `<td>${cell}</td>`).join("")}</tr>`;
}

/** Keeps a unit on the line of its number. */
function unbroken(text: string): string {
  return text.replace(/(\d) (?!to )(?=\S{1,3}(?:[ ,)]|$))/g, "$1\u00a0");
}

/** A figure with its range, or its limit. */
export function figureText({ unit, shown, value, low, high, limit }: BenchFigure): string {
  const text = (x: number) => engineering(x, shownUnit({ unit, shown }), 3);
  if (Number.isNaN(value)) return "does not occur";
  const ends = low === undefined || high === undefined ? [] : [text(low), text(high)];
  // A figure that no tolerance moves has no range.
  const range = ends.some((end) => end !== text(value)) ? ` (${ends.join(" to ")})` : "";
  if (!limit) return text(value) + range;
  const { low: least, high: most } = limit;
  const asked =
    least === undefined
      ? `below ${text(most!)}`
      : most === undefined
        ? `above ${text(least)}`
        : text(least) === text(most)
          ? `${text((least + most) / 2)} ± ${text((most - least) / 2)}`
          : `${text(least)} to ${text(most)}`;
  return `${text(value)}${range}, asked ${asked}`;
}

/** How to set the instrument, line by line. */
export function settingLines({ unit, setting }: Pick<BenchPoint, "unit" | "setting">): string[] {
  const { perDivision, coupling, timePerDivision, trigger }: ScopeSetting = setting;
  const lines = [
    `${engineering(perDivision, unit, 3)} a division, ${coupling}`,
    `${engineering(timePerDivision, "s", 3)} a division`,
  ];
  if (!trigger) return [...lines, "no trigger: runs free"];
  const at = trigger.level === undefined ? "halfway" : engineering(trigger.level, unit, 2);
  return [...lines, `trigger: ${trigger.source}, ${trigger.slope}, ${at}`];
}

/** What may be at fault, in words; faults that look alike together. */
export function meaningText({ faults, at }: Meaning, unit: string): string {
  const shown = faults.slice(0, named);
  const more = faults.length > named ? `, and ${faults.length - named} more` : "";
  if (!at) return shown.join(", ") + more;
  const groups = new Map<string, string[]>();
  for (const [i, fault] of shown.entries()) {
    const where = engineering(at[i], unit, 2);
    groups.set(where, [...(groups.get(where) ?? []), fault]);
  }
  return [...groups].map(([where, all]) => `${all.join(", ")} (${where})`).join(", ") + more;
}

/** The instrument's screen with these settings. */
function screen({ of, unit, levels, setting, shape }: BenchPoint): string {
  const { perDivision, coupling, timePerDivision } = setting;
  const [width, height] = [divisions.across * division, divisions.up * division];
  const [floor, peak] = levels.map((l) => l.value);
  // Zero falls on a line of the screen, with the waveform in the middle.
  const middle =
    coupling === "AC" ? (floor + peak) / 2 : perDivision * Math.round((floor + peak) / 2 / perDivision);
  const x = (t: number) => coordinate((t / timePerDivision) * division);
  const y = (v: number) => coordinate(height / 2 - ((v - middle) / perDivision) * division);
  const lines = [
    ...Array.from({ length: divisions.across + 1 }, (_, k) => `M${k * division} 0V${height}`),
    ...Array.from({ length: divisions.up + 1 }, (_, k) => `M0 ${k * division}H${width}`),
  ];
  const points = shape.time.map((t, i) => `${x(t)} ${y(shape.value[i])}`);
  const zero = coupling === "DC" && Math.abs(middle) <= (divisions.up / 2) * perDivision;
  const words = `${of}: ${engineering(floor, unit, 3)} to ${engineering(peak, unit, 3)}`;
  return (
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="-1 -1 ${width + 2} ${height + 2}" role="img" aria-label="${safe(words)}">` +
    element("path", { d: lines.join(""), stroke: "#c5ccd3", fill: "none", "stroke-width": 0.5 }) +
    (zero
      ? element("path", {
          d: `M0 ${y(0)}H${width}`,
          stroke: "#5b6773",
          fill: "none",
          "stroke-dasharray": "3 2",
        })
      : "") +
    element("path", {
      d: points.length > 0 ? `M${points.join("L")}` : "",
      stroke: "#00609c",
      fill: "none",
      "stroke-width": 1.4,
    }) +
    "</svg>"
  );
}
