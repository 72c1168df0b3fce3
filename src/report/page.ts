// The report: one page that stands alone and loads nothing, which a policy in the page enforces: it allows, by their hashes,
// only the page's own script and styles. Without the script everything is still there, but does not move. Each run is rendered
// while it exists: a long run takes much memory, and a page has many.
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
import { pageHead, safe, safeFigure } from "./markup.js";
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
  /** Figures that its text shows without a limit. */
  readonly shown: readonly ShownFigure[];
  /** The still pictures of its waveforms and of its tubes, as HTML. */
  readonly figures: readonly string[];
  readonly screens: readonly string[];
  readonly clippings: readonly Clipping[];
  /** Its row in the table of how runs were simulated, as HTML. */
  readonly account: string;
  /** The stress on the parts, as HTML; only if asked for. */
  readonly stress?: string;
  /** The schematic with the figures of the run, as SVG; only if asked for. */
  readonly drawing?: string;
  /** Its interactive waveforms; absent if there is nothing to show. */
  readonly moving?: PackedStack;
}

/** What goes into a report. */
export interface Contents {
  readonly design: Design;
  /** The run of the design as drawn first, then those of its cases. */
  readonly runs: readonly Exhibit[];
  readonly results: readonly CheckResult[];
  /** The schematic with its blocks closed and open, as SVG; both the same if there are no blocks. */
  readonly schematic?: { readonly closed: string; readonly open: string };
  /** The effect of the tolerances, as HTML; only if asked for. */
  readonly spread?: string;
  /** Shows the cautions for work near a picture tube. */
  readonly tube: boolean;
  /** The design as written. */
  readonly text: string;
  /** The script of the page; without it the page is still. */
  readonly program?: string;
  /** SHA-256 of a UTF-8 text, in base64; without it the page allows any style and no script. */
  readonly digest?: (text: string) => string;
}

/** Pixels of a tube's picture in the page; the command `picture` makes larger ones. */
const screenSize = { width: 576, height: 432 };

/** What else to show of a run. */
export interface ExhibitOptions {
  /** Traces of places or parts. */
  readonly traces?: readonly string[];
  /** The stress on the parts; with many parts this takes as long as the run. */
  readonly stress?: boolean;
}

/** Everything that the page shows of a run. @param index number of the run, from 0 */
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
      ? [
          `<figure class="still" tabindex="0">\n${tracePicture(groups, { title, id: `case-${index}` })}</figure>`,
        ]
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

/** The page as HTML text, in pieces, since with the samples of its runs it may be long. */
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
    `${pageHead(design.title, style, policy(styles, contents))}\n<main>`,
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

/** What the browser may do: show the page's contents, and run only the page's own script. */
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
  return `<div class="sum${good ? "" : " bad"}"><span>${safe(summaryText(results) + ends.join("")).replace(/(\d) %/g, "$1\u00a0%")}</span></div>`;
}

function caution(): string {
  const items = cautions.map((c) => `<li>${safe(c)}</li>`).join("\n");
  return (
    `<section class="caution" aria-label="Cautions">\n<p><strong>Before this meets a picture tube</strong></p>\n` +
    `<ul>\n${items}\n</ul>\n<p>${safe(standing)}</p>\n</section>`
  );
}

/** To what share of its size a schematic may shrink: its small print, 11 px, is then eight. */
const legible = 0.7;

/** The schematic; if it has blocks, with their contents to unfold. */
function drawings({ closed, open }: NonNullable<Contents["schematic"]>): string {
  const inside =
    closed === open
      ? ""
      : `\n<details>\n<summary>The same with all blocks open</summary>\n<div class="wide drawing">\n${open}</div>\n</details>`;
  // A wide drawing is made as small as can still be read before it has to be scrolled; on paper it is turned sideways.
  const width = Number(/width="(\d+)"/.exec(closed)?.[1]);
  const least = Math.round(legible * width);
  const fitted = `@media screen{.broad>.drawing svg{max-width:100%;height:auto;min-width:${least}px}}`;
  const opening = width > 1000 ? `<section class="broad">\n<style>${fitted}</style>` : "<section>";
  return `${opening}\n<h2>Schematic</h2>\n<div class="wide drawing">\n${closed}</div>${inside}\n</section>`;
}

/** A run: its results, and its samples. */
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
  const stack = moves && moving ? ['<div class="moving"></div>'] : [];
  const waves = [...stack, ...figures].join("\n");
  // The screens stand beside the waveforms if the page is wide enough.
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

/** The picture on each tube, inlined in the page. */
function tubes(run: Run, title: string): string[] {
  return screens(run, screenSize).map(({ tube, image }) => {
    const words = safe(`The picture on ${tube}, ${caption(image)}`);
    // Words instead of a black rectangle.
    if (image.dark && image.around === undefined)
      return `<p class="screen" data-tube="${safe(tube)}">${words}</p>`;
    const bytes = [...png(image)].map((byte) => String.fromCharCode(byte)).join("");
    const { width, height, around } = image;
    return (
      `<figure class="screen" data-tube="${safe(tube)}"${around === undefined ? "" : ` data-around="${around}"`}>\n<img width="${width}" height="${height}" alt="${safe(`${title}: the picture on ${tube}`)}" ` +
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

/** Figures without a limit. */
function shownTable(figures: readonly ShownFigure[], title: string): string {
  const rows = figures.map(
    (figure) =>
      `<tr><td>${safe(figure.name)}<small>${safe(figure.what)}</small></td><td class="n">${safeFigure(figure.text)}</td>` +
      `<td class="where"><small>${safe(figureNote(figure))}</small></td></tr>`,
  );
  return table(title, [["shown"], ["measured", "n"], ["where"]], rows);
}

/** Outputs that reached their limits; empty if none did. */
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
      `<td class="v">${safeFigure(r.value)}</td><td class="k">${safe(r.tolerance)}</td><td>${safeFigure(r.more)}</td></tr>`,
  );
  const head = [["kind"], ["name"], ["from → to"], ["value"], ["tolerance"], ["further"]];
  return `<section>\n<h2>Parts</h2>\n${table("Parts", head, rows)}\n</section>`;
}
