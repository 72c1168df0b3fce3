// The verification page: every claim of the table with what was expected, what came out, the error and how much of its
// tolerance that takes. Takes the measured claims and where they were measured; gives one HTML text that needs nothing
// else. What always holds: every text is escaped, a failure is marked by a word and not by colour alone.
import { fraction, negligible, number, power } from "./figures.js";
import type { Measured } from "./measure.js";
import { style } from "./style.js";

/** Where and when. */
export interface Setting {
  readonly version: string;
  readonly node: string;
  readonly machine: string;
  readonly date: string;
  readonly seconds: number;
  readonly checksum: string;
  /** Bound of each claim by its name. */
  readonly bound: (m: Measured) => number;
}

/** The page. */
export function page(all: readonly Measured[], setting: Setting): string {
  const rows = [...new Set(all.map((m) => m.row))];
  const numbered = rows.filter((row) => /^\d+$/.test(row.row));
  const failed = all.filter((m) => !m.pass).length;
  const { node, machine, date, seconds, checksum, version } = setting;
  const sections = rows.map((row) =>
    section(
      all.filter((m) => m.row === row),
      setting,
    ),
  );
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Rampwright: verification</title>
<style>${style}</style>
</head>
<body>
<header>
<p class="kicker">Rampwright ${escaped(version)}</p>
<h1>Verification against exact answers</h1>
<p class="lead">${all.length} claims about ${numbered.length} kinds of circuit and ${rows.length - numbered.length} \
studies beyond them. Every expected figure comes from outside: a closed form, a published problem, a law. ${
    failed === 0 ? "All claims hold." : `<strong>${failed} do not hold.</strong>`
  }</p>
<dl class="setting">
${[
  ["Date", date],
  ["Machine", machine],
  ["Engine", `Node ${node}`],
  ["Worked out in", `${seconds.toFixed(1)} s`],
  ["Checksum of the fixed runs", checksum],
]
  .map(([term, what]) => `<div><dt>${term}</dt><dd>${escaped(what)}</dd></div>`)
  .join("\n")}
</dl>
</header>
<nav aria-label="Rows"><ol>
${rows.map((row) => `<li>${link(row.row, row.title, all)}</li>`).join("\n")}
</ol></nav>
<main>
<aside class="reading"><h2>How to read this</h2>
<p><b>Error</b> is relative to what was expected, absolute in its unit, or in units in the last place (ulp), as the \
claim says. <b>Tolerance</b> is what the method must reach, and is never loosened. <b>Bound</b> is how good the method \
was when it was last tightened: the tests fail beyond it, although the tolerance would allow it. The <b>bar</b> is the \
error on a scale of powers of ten that ends at the tolerance; marks stand a thousandfold apart, so the empty part on \
the right is what is to spare. An empty bar is an error of zero, or more than twelve powers of ten to spare.</p></aside>
${sections.join("\n")}
</main>
<footer><p>Written by <code>npm run verify:report</code>. The same claims run as tests with \
<code>npm test</code>; <code>npm run verify:long</code> takes a hundred thousand random circuits and a hundred million \
steps.</p></footer>
</body>
</html>
`;
}

function link(row: string, title: string, all: readonly Measured[]): string {
  const bad = all.some((m) => m.row.row === row && !m.pass);
  return `<a href="#row-${row}"><span class="number">${row}</span><span>${escaped(title)}${bad ? " <em>fails</em>" : ""}</span></a>`;
}

function section(claims: readonly Measured[], setting: Setting): string {
  const [{ row }] = claims;
  const { title, source, note } = row;
  return `<section id="row-${row.row}">
<h2><span class="number">${escaped(row.row)}</span> ${escaped(title)}</h2>
${note ? `<p class="note">${escaped(note)}</p>` : ""}
<div class="wide"><table>
<thead><tr><th scope="col">What</th><th scope="col" class="figure">Expected</th><th scope="col" class="figure">Got</th>\
<th scope="col" class="figure">Error</th><th scope="col" class="figure">Tolerance</th>\
<th scope="col" class="figure">Bound</th><th scope="col">Share of the tolerance</th></tr></thead>
<tbody>
${claims.map((m) => line(m, setting.bound(m))).join("\n")}
</tbody>
</table></div>
<p class="source"><b>Source</b> ${escaped(source)}.</p>
</section>`;
}

function line({ claim, got, error, pass }: Measured, bound: number): string {
  const figure = (what: string) => `<td class="figure">${what}</td>`;
  const unit = claim.unit ? ` ${escaped(claim.unit)}` : "";
  // What should be nothing is itself an error: two digits say it.
  const shown = claim.expected === 0 && claim.kind !== "same" ? power : number;
  const value = (x: number | string) => (typeof x === "number" ? shown(x) + unit : escaped(x));
  const how = { relative: "", absolute: unit, ulp: " ulp", same: "" }[claim.kind];
  const [off, tolerance, held] =
    claim.kind === "same"
      ? [pass ? "none" : "differs", "none", "none"]
      : [error, claim.bound, bound].map((x) => power(x) + how);
  return `<tr${pass ? "" : ' class="fails"'}><th scope="row">${escaped(claim.what)}</th>${figure(value(claim.expected))}\
${figure(value(got))}${figure(off)}${figure(tolerance)}${figure(held)}<td>${pass ? bar(error, claim.bound) : "<em>fails</em>"}</td></tr>`;
}

/** Twelve powers of ten below the tolerance, a mark at each third. */
function bar(error: number, tolerance: number): string {
  const share = fraction(error, tolerance);
  const marks = [0.25, 0.5, 0.75].map((x) => `<i style="left:${x * 100}%"></i>`).join("");
  const says = share === negligible ? "nothing to speak of" : `${power(error / tolerance)} of the tolerance`;
  const width = share === negligible ? 0 : share * 100;
  return `<span class="bar" role="img" aria-label="${says}">${marks}<b style="width:${width.toFixed(1)}%"></b></span>`;
}

function escaped(text: string): string {
  const signs: Record<string, string> = {
    "&": "&amp;",
    "<": "&lt;",
    ">": "&gt;",
    '"': "&quot;",
    "'": "&#39;",
  };
  return text.replace(/[&<>"']/g, (sign) => signs[sign]);
}
