// The look of the report page: readable on paper and on a narrow screen, with nothing conveyed by colour alone.
import { narrowStyle } from "./narrowstyle.js";

/** CSS of the page. */
export const pageStyle = `
:root{--ink:#1d2733;--faint:#5b6875;--line:#dde2e7;--paper:#ffffff;--ground:#f3f5f7;--good:#1b6b3a;--bad:#a3201c;
--caution:#fff6dc;--caution-line:#c98a00;--fails:#fdf0ef;--edge:#8b96a1;--focus:#0b62c4;--chosen:#fde7c4;--limit:#6b4a00;
--plot-grid:#e4e8ec;--plot-axis:#5b6773;--plot-zone:rgba(243,217,164,.6);--plot-edge:#a87400;--plot-volt:#00609c;
--plot-ampere:#c24a00;--plot-watt:#00795a;color-scheme:light dark}
@media screen and (prefers-color-scheme:dark){:root{--ink:#e2e8ee;--faint:#a3afbb;--line:#37424d;--paper:#161c22;
--ground:#0e1318;--good:#6fd096;--bad:#ff9a8f;--caution:#2e2611;--caution-line:#c98a00;--fails:#351b1a;--edge:#6c7883;
--focus:#74b3ff;--chosen:#5b3c0c;--limit:#e9bd6b;--plot-grid:#2a343d;--plot-axis:#a3afbb;--plot-zone:rgba(168,116,0,.28);
--plot-edge:#d9a441;--plot-volt:#6fb7ea;--plot-ampere:#f39a55;--plot-watt:#5fcba6}}
*{box-sizing:border-box}
body{margin:0;background:var(--ground);color:var(--ink);font:16px/1.5 system-ui,sans-serif;
font-variant-numeric:tabular-nums;overflow-wrap:anywhere}
main{max-width:1248px;margin:0 auto;padding:32px 24px 64px}
h1{font-size:1.75rem;line-height:1.2;margin:0 0 4px}
h2{font-size:1.25rem;margin:40px 0 10px}
h3{font-size:1.05rem;margin:28px 0 8px}
p{margin:6px 0 12px}
.from{color:var(--faint);margin:0 0 18px}
.sum{display:flex;gap:12px;align-items:baseline;background:var(--paper);border:1px solid var(--line);
border-left:6px solid var(--good);border-radius:4px;padding:12px 16px}
.sum.bad{border-left-color:var(--bad)}
.caution{background:var(--caution);border:1px solid var(--caution-line);border-left-width:6px;border-radius:4px;
padding:10px 16px;margin:18px 0}
.caution ul{margin:4px 0 8px;padding-left:1.2em}
.caution p{margin:4px 0}
.wide{overflow-x:auto;background:var(--paper);border:1px solid var(--line);border-radius:4px}
table{border-collapse:collapse;width:100%;font-size:.94rem}
th,td{text-align:left;vertical-align:top;padding:7px 12px;border-top:1px solid var(--line)}
thead th{border-top:0;color:var(--faint);font-weight:600;font-size:.85rem;white-space:nowrap}
td.n{text-align:right;white-space:nowrap}
th.n{text-align:right}
td.k{white-space:nowrap}
th,td{overflow-wrap:break-word}
td.where{min-width:15rem}
td.v{min-width:7.5em}
td small{max-width:34rem}
td small{color:var(--faint);display:block}
.pass{color:var(--good);font-weight:600}
.fail{color:var(--bad);font-weight:700}
tr.bad td{background:var(--fails)}
figure{margin:12px 0 0;background:var(--paper);border:1px solid var(--line);border-radius:4px;overflow:hidden}
figure svg{display:block;width:100%;height:auto}
figure.screen{padding:16px}
figure.screen img{display:block;width:576px;max-width:100%;height:auto;background:#000;border-radius:12px}
.drawing{padding:8px}
.text{margin:0;padding:10px 12px 10px 3.6em;font-size:.85rem;max-height:32rem;overflow-y:auto}
.text li::marker{color:var(--faint)}
.text code{font-family:ui-monospace,monospace;white-space:pre}
.drawing svg{display:block;margin:0 auto}
details{margin:12px 0 0}
summary{cursor:pointer;color:var(--faint)}
.beside>*{min-width:0}
@media screen and (min-width:1080px){main:has(.beside){max-width:1640px}
.beside{display:grid;grid-template-columns:minmax(0,1fr) minmax(0,27rem);gap:0 16px;align-items:start}
.beside .screens{position:sticky;top:0}}
figcaption{color:var(--faint);font-size:.85rem;margin-top:8px}
footer{margin-top:48px;color:var(--faint);font-size:.9rem}
@media screen and (max-width:600px){figure.still{overflow-x:auto}figure.still svg{width:900px}}
@media (max-width:600px){main{padding:20px 10px 40px}th,td{padding:6px 8px}}
@media print{body{background:#fff;font-size:10.5pt}.drawing svg{max-width:100%;height:auto}table{font-size:9pt}th,td{padding:3pt 5pt}
thead th{white-space:normal;vertical-align:bottom;font-size:8.5pt}td:first-child{overflow-wrap:anywhere}td.where{min-width:0}
@page{margin:12mm}.broad{page:broad}@page broad{size:landscape}details:not([open]){display:none}figure.screen img{width:84mm}
.text{max-height:none;overflow:visible}.text code{white-space:pre-wrap}.wide{overflow:visible}main{max-width:none;padding:0}h2,h3{break-after:avoid}
figure,tr,.caution,section.run{break-inside:avoid}footer{break-before:avoid;margin-top:6mm}}
${narrowStyle}
`.trim();
