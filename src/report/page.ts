// The report: one page that stands alone and takes nothing from elsewhere, which a policy in the page forbids: it lets the one
// program and the styles pass that it holds itself, by their hashes. Without the program it is all there, and still. What is shown of
// a run is drawn while the run is there: a long one takes much memory, and a page has many.
import { engineering } from "../base/quantity.js";
import type { Design } from "../design/design.js";
import { type ShownFigure, shownFigures } from "../judging/shownfigures.js";
import { stress } from "../judging/stresses.js";
import type { CheckResult } from "../judging/verify.js";
import { type Clipping, clippings } from "../reading/atlimits.js";
import type { Run } from "../reading/result.js";
import { caption, png } from "../tube/image.js";
import { accountRow, accounts } from "./accounts.js";
import { cautions, standing } from "./cautions.js";
import { clippingCells } from "./clipped.js";
import { inventory } from "./inventory.js";
import { safe, safeFigure } from "./markup.js";
import { movingStyle } from "./movingstyle.js";
import { type PackedStack, StackPacker } from "./packedstack.js";
import { screens } from "./screens.js";
import { panelGroups } from "./selection.js";
import { keptStack } from "./stack.js";
import { stressTable } from "./stresstable.js";
import { pageStyle } from "./style.js";
import { tracePicture } from "./svg.js";
import { table } from "./tablemarkup.js";
import { block, joined, written } from "./textmarkup.js";
import {
  byCase,
  caseTitle,
  figureNote,
  limitText,
  marginText,
  measuredText,
  noteText,
  summaryText,
} from "./verdicts.js";

/** What the page shows of one run, as plain data. */
export interface Exhibit {
  /** Empty for the design as drawn. */
  readonly caseName: string;
  readonly status: Run["status"];
  readonly reason: string;
  readonly reached: number;
  /** What its text shows without asking anything of it. */
  readonly shown: readonly ShownFigure[];
  /** The still picture of its waveforms and those of its tubes, as HTML. */
  readonly figures: readonly string[];
  readonly screens: readonly string[];
  readonly clippings: readonly Clipping[];
  /** Its row of the table of how it was simulated, as HTML. */
  readonly account: string;
  /** What it asks of the parts, as HTML; where it was asked for. */
  readonly stress?: string;
  /** The schematic with the figures of the run, as SVG; where it was asked for. */
  readonly drawing?: string;
  /** Its waveforms for the page that moves; nothing where there is nothing to show. */
  readonly moving?: PackedStack;
}

/** What goes into a report. */
export interface Contents {
  readonly design: Design;
  /** The run of the design as drawn first, then those of its cases. */
  readonly runs: readonly Exhibit[];
  readonly results: readonly CheckResult[];
  /** The schematic, its blocks closed and its blocks open, as SVG; both the same where there are no blocks. */
  readonly schematic?: { readonly closed: string; readonly open: string };
  /** What the tolerances come to, as HTML; where it was asked for. */
  readonly spread?: string;
  /** Shows the cautions for work near a picture tube. */
  readonly tube: boolean;
  /** The design as it is written. */
  readonly text: string;
  /** The program of the page; without it the page is still. */
  readonly program?: string;
  /** SHA-256 of a text in UTF-8, in base64; without it the page's styles are let pass as they are, and no program is. */
  readonly digest?: (text: string) => string;
}

/** Pixels of a tube's picture in the page; the command `picture` makes larger ones. */
const screenSize = { width: 576, height: 432 };

/** What is to be shown of a run besides. */
export interface ExhibitOptions {
  /** Traces of places or parts. */
  readonly traces?: readonly string[];
  /** What it asks of the parts; of many parts that takes as long as the run. */
  readonly stress?: boolean;
}

/** All that the page shows of a run, the `index`-th of it. */
export function exhibit(
  run: Run,
  index: number,
  results: readonly CheckResult[],
  { traces = [], stress: stressed = false }: ExhibitOptions = {},
): Exhibit {
  const { status, reason, reached } = run;
  const { caseName } = run.design;
  const groups = panelGroups(run, traces, results);
  const title = caseTitle(caseName);
  const waveforms =
    groups.length > 0
      ? [`<figure class="still">\n${tracePicture(groups, { title, id: `case-${index}` })}</figure>`]
      : [];
  const packer = new StackPacker();
  const stack = keptStack(run, title, results, (panel) => packer.add(panel), traces);
  return {
    caseName,
    status,
    reason,
    reached,
    shown: shownFigures(run),
    figures: waveforms,
    screens: tubes(run, title),
    clippings: clippings(run),
    account: accountRow(run),
    ...(stressed && { stress: stressTable(stress(run), title) }),
    ...(stack && { moving: packer.done(stack) }),
  };
}

/** The page as HTML text, in pieces: with the samples of its runs it may be long. */
export function page(contents: Contents): string[] {
  const { design, runs, results, schematic, tube, program } = contents;
  const groups = byCase(results);
  const drawn = schematic ? [drawings(schematic)] : [];
  const sections = runs.map((run) => section(run, groups.get(run.caseName) ?? [], program !== undefined));
  const style = program === undefined ? pageStyle : `${pageStyle}\n${movingStyle}`;
  const styles = [
    `<style>${style}</style>`,
    ...drawn,
    ...sections.map(({ shown }) => shown),
    contents.spread ?? "",
  ];
  const pieces = [
    '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">',
    `<meta http-equiv="Content-Security-Policy" content="${policy(styles, contents)}">`,
    '<meta name="viewport" content="width=device-width, initial-scale=1">',
    `<title>${safe(design.title)}</title>\n<style>${style}</style>\n</head>\n<body>\n<main>`,
    `<h1>${safe(design.title)}</h1>\n<p class="from">Simulated from ${safe(design.name)}</p>`,
    summary(results, runs),
    tube ? caution() : "",
    ...drawn,
    written(design, contents.text),
    ...sections.flatMap(({ shown, held }) => [shown, ...held, "</section>"]),
    limits(runs),
    contents.spread ?? "",
    parts(design),
    accounts(runs.map(({ account }) => account)),
    "<footer>Written by Rampwright. Voltages count against ground, currents along the arrow of a part.</footer>",
    "</main>",
    program === undefined ? "" : `${joined(design)}\n<script>${program}</script>`,
    "</body>\n</html>\n",
  ];
  return pieces.filter((text) => text !== "").map((text) => `${text}\n`);
}

/** What the browser may do: show what the page holds, and run the one program that it came with. */
function policy(markup: readonly string[], { program, digest }: Contents): string {
  if (!digest) return "default-src 'none'; style-src 'unsafe-inline'; img-src data:";
  const styles = markup.flatMap((text) =>
    [...text.matchAll(/<style>([^<]*)<\/style>/g)].map(([, css]) => css),
  );
  const hashes = (texts: readonly string[]) =>
    [...new Set(texts)].map((text) => `'sha256-${digest(text)}'`).join(" ");
  const script = program === undefined ? "" : ` script-src ${hashes([program])};`;
  return `default-src 'none';${script} style-src ${hashes(styles)}; img-src data:`;
}

function summary(results: readonly CheckResult[], runs: readonly Exhibit[]): string {
  const stopped = runs.filter((r) => r.status === "stopped");
  const good = results.every((r) => r.pass) && stopped.length === 0;
  const ends = stopped.map(
    (r) =>
      ` ${caseTitle(r.caseName)} could not be completed: it stopped at ${engineering(r.reached, "s")}, ${r.reason}.`,
  );
  return `<div class="sum${good ? "" : " bad"}"><span>${safe(summaryText(results) + ends.join(""))}</span></div>`;
}

function caution(): string {
  const items = cautions.map((c) => `<li>${safe(c)}</li>`).join("\n");
  return (
    `<section class="caution" aria-label="Cautions">\n<p><strong>Before this meets a picture tube</strong></p>\n` +
    `<ul>\n${items}\n</ul>\n<p>${safe(standing)}</p>\n</section>`
  );
}

/** The schematic; where it has blocks, what they hold can be unfolded. */
function drawings({ closed, open }: NonNullable<Contents["schematic"]>): string {
  const inside =
    closed === open
      ? ""
      : `\n<details>\n<summary>The same with all blocks open</summary>\n<div class="wide drawing">\n${open}</div>\n</details>`;
  // On paper what is broad is turned.
  const [, width] = /width="(\d+)"/.exec(closed) ?? [];
  return `<section${Number(width) > 1000 ? ' class="broad"' : ""}>\n<h2>Schematic</h2>\n<div class="wide drawing">\n${closed}</div>${inside}\n</section>`;
}

/** A run: what is shown of it, and the samples that the page holds of it. */
function section(
  { caseName, shown: told, figures, screens, moving, stress: table, drawing }: Exhibit,
  results: readonly CheckResult[],
  moves: boolean,
): { shown: string; held: string[] } {
  const shown =
    results.length > 0
      ? verdicts(results, `Verdicts: ${caseTitle(caseName)}`)
      : "<p>No checks are asked of it.</p>";
  const values = told.length === 0 ? "" : `\n${shownTable(told, `Shown: ${caseTitle(caseName)}`)}`;
  const stack = moves && moving ? [`<div class="moving" data-panels="${moving.panels}"></div>`] : [];
  const waves = [...stack, ...figures].join("\n");
  // Where there is a screen, it stands beside the waveforms if the page is wide enough.
  const pictures =
    screens.length === 0
      ? waves
      : `<div class="beside">\n<div>${waves}</div>\n<div class="screens">${screens.join("\n")}</div>\n</div>`;
  const more =
    (drawing === undefined
      ? ""
      : `\n<details>\n<summary>The schematic with the figures of this run</summary>\n<div class="wide drawing">\n${drawing}</div>\n</details>`) +
    (table === undefined ? "" : `\n<h3>Stress</h3>\n${table}`);
  return {
    shown: `<section class="run">\n<h2>${safe(caseTitle(caseName))}</h2>\n${shown}${values}\n${pictures}${more}`,
    held: moves && moving ? [block("head", moving.head), block("body", moving.body)] : [],
  };
}

/** The picture on each tube, the bytes in the page itself. */
function tubes(run: Run, title: string): string[] {
  return screens(run, screenSize).map(({ tube, image }) => {
    const words = safe(`The picture on ${tube}, ${caption(image)}`);
    // Words instead of a black rectangle.
    if (image.dark) return `<p class="screen" data-tube="${safe(tube)}">${words}</p>`;
    const bytes = [...png(image)].map((byte) => String.fromCharCode(byte)).join("");
    const { width, height } = image;
    return (
      `<figure class="screen" data-tube="${safe(tube)}">\n<img width="${width}" height="${height}" alt="${safe(`${title}: the picture on ${tube}`)}" ` +
      `src="data:image/png;base64,${btoa(bytes)}">\n<figcaption>${words}</figcaption>\n</figure>`
    );
  });
}

function verdicts(results: readonly CheckResult[], title: string): string {
  const rows = results.map((r, i) => {
    const verdict = r.pass ? '<span class="pass">pass</span>' : '<span class="fail">FAIL</span>';
    const note = noteText(r);
    return (
      `<tr${r.pass ? "" : ' class="bad"'} data-check="${i}" data-name="${safe(r.name)}"><td>${safe(r.name)}<small>${safe(r.what)}</small></td>` +
      `<td class="n">${safeFigure(measuredText(r, r.measured))}</td><td>${safeFigure(limitText(r))}</td>` +
      `<td class="n">${safeFigure(marginText(r))}</td><td>${verdict}</td><td class="where"><small>${safe(note)}</small></td></tr>`
    );
  });
  const head = [["check"], ["measured", "n"], ["limit"], ["margin", "n"], ["verdict"], ["where"]];
  return table(title, head, rows);
}

/** Figures that nothing is asked of. */
function shownTable(figures: readonly ShownFigure[], title: string): string {
  const rows = figures.map(
    (figure) =>
      `<tr><td>${safe(figure.name)}<small>${safe(figure.what)}</small></td><td class="n">${safeFigure(figure.text)}</td>` +
      `<td class="where"><small>${safe(figureNote(figure))}</small></td></tr>`,
  );
  return table(title, [["shown"], ["measured", "n"], ["where"]], rows);
}

/** Outputs that stood at their limits; empty where none did. */
function limits(runs: readonly Exhibit[]): string {
  const found = runs.flatMap((run) => run.clippings.map((row) => ({ run, row, cells: clippingCells(row) })));
  if (found.length === 0) return "";
  const video = found.some(({ cells }) => cells.picture !== "");
  const rows = found.map(({ run, row, cells }) => {
    const { limit, level, begins, lasts, times, picture } = cells;
    const numbers = [level, begins, lasts, times, ...(video ? [picture] : [])];
    return (
      `<tr><td>${safe(caseTitle(run.caseName))}</td><td>${safe(row.part)}</td><td>${safe(limit)}</td>` +
      `${numbers.map((n) => `<td class="n">${safeFigure(n)}</td>`).join("")}</tr>`
    );
  });
  const head = [
    ["run"],
    ["part"],
    ["stands at"],
    ["level", "n"],
    ["first from", "n"],
    ["in all", "n"],
    ["times", "n"],
    ...(video ? [["picture level then", "n"]] : []),
  ];
  const then = video
    ? " “Picture level then” is the average level, 0 % black to 100 % white, of the frame being sent when an output first gets there."
    : "";
  return (
    "<section>\n<h2>At their limits</h2>\n<p>Outputs that clip: they could go no farther, so what they should have " +
    `followed is lost for that time.${then}</p>\n${table("At their limits", head, rows)}\n</section>`
  );
}

function parts(design: Design): string {
  const rows = inventory(design).map(
    (r) =>
      `<tr><td class="k">${safe(r.kind)}</td><td>${safe(r.name)}</td><td>${safe(`${r.from} → ${r.to}`)}</td>` +
      `<td>${safeFigure(r.value)}</td><td class="k">${safe(r.tolerance)}</td><td>${safeFigure(r.more)}</td></tr>`,
  );
  const head = [["kind"], ["name"], ["from → to"], ["value"], ["tolerance"], ["further"]];
  return `<section>\n<h2>Parts</h2>\n${table("Parts", head, rows)}\n</section>`;
}
