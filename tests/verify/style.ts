// How the verification page looks: a printed report, black on paper white, one ink for what is measured. Follows the
// reader's choice of a dark ground, and prints.

/** The style sheet of the page. */
export const style = `
:root { --paper: #fdfcf9; --ink: #22201c; --soft: #6d675d; --line: #ddd7cb; --mark: #1f5f6b; --ground: #efebe2; --bad: #a1321f; }
@media (prefers-color-scheme: dark) {
  :root { --paper: #191a1b; --ink: #e6e3dc; --soft: #a09a8e; --line: #3a3a38; --mark: #79b8c2; --ground: #2a2b2b; --bad: #f08a74; }
}
* { box-sizing: border-box; }
body { margin: 0 auto; max-width: 78rem; padding: 3rem 2rem 4rem; background: var(--paper); color: var(--ink);
  font: 400 15px/1.5 system-ui, "DejaVu Sans", sans-serif; }
h1, h2, .lead { font-family: Charter, "Bitstream Charter", "DejaVu Serif", Georgia, serif; font-weight: 400; }
h1 { font-size: 2.3rem; line-height: 1.15; margin: 0.2rem 0 1rem; }
h2 { font-size: 1.3rem; line-height: 1.3; margin: 0 0 0.6rem; }
.kicker { margin: 0; color: var(--mark); letter-spacing: 0.08em; font-size: 0.85rem; text-transform: uppercase; }
.lead { font-size: 1.15rem; max-width: 46rem; margin: 0 0 1.6rem; }
.setting { display: flex; flex-wrap: wrap; gap: 0.8rem 2.5rem; margin: 0; padding: 0.9rem 0;
  border-top: 1px solid var(--ink); border-bottom: 1px solid var(--line); }
dt { color: var(--soft); font-size: 0.8rem; }
dd { margin: 0; font-variant-numeric: tabular-nums; }
nav ol { list-style: none; columns: 2; column-gap: 3rem; margin: 1.6rem 0 2.5rem; padding: 0; font-size: 0.9rem; }
nav li { break-inside: avoid; padding: 0.15rem 0; }
nav a { display: flex; }
nav .number { flex: 0 0 5.6rem; }
a { color: inherit; text-decoration: none; }
a:hover, a:focus-visible { text-decoration: underline; text-underline-offset: 0.2em; }
.number { color: var(--mark); font-variant-numeric: tabular-nums; }
h2 .number { margin-right: 0.5rem; }
.reading { background: var(--ground); padding: 1rem 1.3rem 0.4rem; margin-bottom: 2.8rem; font-size: 0.9rem; }
.reading h2 { font-size: 1.05rem; }
.reading p { max-width: 62rem; margin: 0 0 0.6rem; }
section { margin: 0 0 2.8rem; scroll-margin-top: 1rem; }
.note, .source { max-width: 58rem; margin: 0 0 0.7rem; }
.source { color: var(--soft); font-size: 0.85rem; margin-top: 0.6rem; }
.source b { font-weight: 600; }
.wide { overflow-x: auto; }
table { border-collapse: collapse; width: 100%; font-size: 0.84rem; }
th, td { text-align: left; vertical-align: baseline; padding: 0.3rem 0.9rem 0.3rem 0; font-weight: 400; }
thead th { color: var(--soft); border-bottom: 1px solid var(--ink); font-size: 0.78rem; white-space: nowrap; }
tbody tr { border-bottom: 1px solid var(--line); }
.figure { text-align: right; white-space: nowrap; font-variant-numeric: tabular-nums; }
tbody th { min-width: 17rem; }
td:last-child, thead th:last-child { width: 10rem; padding-right: 0; }
sup { font-size: 0.75em; line-height: 0; }
.bar { display: block; position: relative; height: 0.6rem; width: 9.5rem; background: var(--ground); border-right: 2px solid var(--ink); }
.bar b { position: absolute; inset: 0 auto 0 0; background: var(--mark); }
.bar i { position: absolute; top: 0; bottom: 0; width: 1px; background: var(--line); }
.fails th, .fails td, em { color: var(--bad); font-style: normal; font-weight: 600; }
footer { border-top: 1px solid var(--ink); padding-top: 0.8rem; color: var(--soft); font-size: 0.85rem; }
code { font: 0.92em ui-monospace, "DejaVu Sans Mono", monospace; }
@media (max-width: 60rem) { nav ol { columns: 1; } body { padding: 1.5rem 1rem; } }
@media print { body { max-width: none; padding: 0; font-size: 11px; } nav { display: none; } section { break-inside: avoid; } }
`;
