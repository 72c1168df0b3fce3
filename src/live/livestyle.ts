// The look of the page that computes: two columns on a desktop, one on a telephone; light or dark as the reader prefers;
// nothing is told by colour alone. On paper it is light and prints the whole text, of which an editor shows only its window.
import { narrowStyle } from "../report/narrowstyle.js";

/** CSS of the page. */
export const liveStyle = `
:root{color-scheme:light dark;--ink:#1b2530;--faint:#566370;--line:#d5dbe1;--paper:#fff;--ground:#f1f3f5;--good:#1b6b3a;
--bad:#a3201c;--fails:#fdf0ef;--caution:#fff6dc;--caution-line:#b27a00;--edge:#566370;--limit:#6b4a00;--focus:#00609c;
--plot-grid:#e3e7eb;--plot-axis:#566370;--plot-zone:rgba(222,170,70,.32);--plot-edge:#8f6200;--plot-volt:#00609c;
--plot-ampere:#c24a00;--plot-watt:#00795a;--selection:#c9e0f2;--text-word:#00609c;--text-name:#1b2530;
--text-number:#8a3f00;--text-string:#00664c;--text-clause:#5b3f8c}
@media screen and (prefers-color-scheme:dark){:root{--ink:#e4e9ee;--faint:#a3b0bc;--line:#37424d;--paper:#171c22;--ground:#0f1317;
--good:#74cf97;--bad:#ff9a92;--fails:#331a1a;--caution:#2d2612;--caution-line:#c99a2e;--edge:#a3b0bc;--limit:#e9bd6b;
--plot-grid:#2a323a;--plot-axis:#a3b0bc;--plot-zone:rgba(214,164,66,.22);--plot-edge:#d9ad55;--plot-volt:#6cb6ee;
--plot-ampere:#f39a55;--plot-watt:#5fcba6;--focus:#6cb6ee;--selection:#27435a;--text-word:#7fc0f2;--text-name:#e4e9ee;
--text-number:#f0ae78;--text-string:#7fd1b0;--text-clause:#c3a9f0}}
*{box-sizing:border-box}
[hidden]{display:none!important}
body{margin:0;background:var(--ground);color:var(--ink);font:15px/1.45 system-ui,sans-serif;font-variant-numeric:tabular-nums;
overflow-wrap:break-word}
.skip{position:absolute;left:-99rem}
.skip:focus{left:8px;top:8px;background:var(--paper);padding:8px;z-index:9}
header,main,footer{max-width:1680px;margin:0 auto;padding:0 20px}
header{padding-top:18px}
h1{font-size:1.45rem;line-height:1.2;margin:0}
h2{font-size:1.02rem;margin:0 0 8px}
p{margin:4px 0 8px}
html{scroll-padding-top:3.2rem}
#verdict{position:sticky;top:0;z-index:3;margin:0 0 6px;padding:6px 0;background:var(--ground)}
#verdict::before{content:"";display:inline-block;width:.7em;height:.7em;border-radius:50%;margin-right:.5em;background:var(--faint)}
#verdict.pass::before{background:var(--good)}
#verdict.fail::before{background:var(--bad);border-radius:0}
button{font:inherit;color:var(--ink);background:var(--paper);border:1px solid var(--faint);border-radius:5px;padding:5px 10px;
min-height:var(--touch);cursor:pointer}
button:hover{border-color:var(--focus)}
button.plain{border:0;background:none;color:var(--focus);text-decoration:underline;padding:2px 4px}
:focus-visible{outline:2px solid var(--focus);outline-offset:2px}
.row{display:flex;flex-wrap:wrap;gap:8px;align-items:center}
#cases{margin:0 0 16px}
.case{display:inline-flex;gap:8px;align-items:center;text-align:left}
.case small{font-size:.8rem}
.case[aria-pressed=true],.scale[aria-pressed=true]{background:var(--focus);border-color:var(--focus);color:var(--paper)}
.case[aria-pressed=true] small{color:inherit}
.pass{color:var(--good);font-weight:600}
.fail{color:var(--bad);font-weight:700}
.caution{background:var(--caution);border:1px solid var(--caution-line);border-left-width:6px;border-radius:5px;padding:6px 14px;
margin:0 0 16px}
.caution summary{font-weight:600;cursor:pointer}
.caution ul{margin:6px 0;padding-left:1.2em;columns:30rem 2;column-gap:2rem}
summary{cursor:pointer}
.desk{display:grid;grid-template-columns:minmax(0,1fr);gap:16px;align-items:start}
.card{background:var(--paper);border:1px solid var(--line);border-radius:6px;padding:14px 16px;min-width:0}
.knobs{display:grid;grid-template-columns:repeat(auto-fill,minmax(min(100%,220px),1fr));gap:14px 20px;margin:0 0 10px}
.knob{display:grid;grid-template-columns:minmax(0,1fr) 6.5em;gap:2px 8px;align-items:center;align-content:start;border-left:3px solid transparent;
padding-left:8px;margin-left:-11px}
.knob.changed{border-left-color:var(--focus)}
.knob-name{font-weight:600}
.knob-value{font:inherit;width:100%;color:var(--ink);background:var(--ground);border:1px solid var(--faint);border-radius:4px;
padding:3px 6px;text-align:right;min-height:var(--touch)}
.knob-value[aria-invalid=true]{border:2px solid var(--bad)}
.knob-back{grid-area:3/1/4/-1;justify-self:center;padding:0 10px;min-height:calc(var(--touch) - 8px);font-size:.86rem}
.knob-way{grid-area:2/1/3/-1;width:100%;height:calc(var(--touch) - 6px);margin:0;accent-color:var(--focus)}
.knob-ends{grid-area:3/1/4/-1;display:flex;justify-content:space-between;min-height:calc(var(--touch) - 8px);margin:0;color:var(--faint);font-size:.8rem;
pointer-events:none}
.knob-why{grid-area:4/1/5/-1;margin:0;color:var(--faint);font-size:.86rem}
.knob-why.bad{color:var(--bad)}
.knob-why:empty{display:none}
#scales{margin:0 0 8px}
.scale{padding:3px 10px}
.waves .stack{border:0;padding:0;margin:0;background:none}
.waves .tools{padding-top:0;top:2.3rem}
.screens{display:grid;grid-template-columns:repeat(auto-fit,minmax(min(100%,260px),1fr));gap:14px}
.screen{margin:0;min-width:0}
.screen .glass{max-width:620px;margin:0 auto}
.screen canvas{display:block;width:100%;background:#000;border-radius:12px;border:1px solid var(--line)}
figcaption{color:var(--faint);font-size:.86rem;margin-top:6px}
.wide{overflow-x:auto}
table{border-collapse:collapse;width:100%;min-width:34rem;font-size:.92rem}
th,td{text-align:left;vertical-align:top;padding:6px 8px;border-top:1px solid var(--line)}
thead th{border-top:0;color:var(--faint);font-weight:600;font-size:.84rem}
td small{display:block;color:var(--faint)}
td button{display:block;margin:4px 0 0;min-height:calc(var(--touch) - 6px);padding:0 10px}
.n{text-align:right;white-space:nowrap}
td.note{min-width:8rem;color:var(--faint);font-size:.86rem}
tr.bad td{background:var(--fails)}
.old canvas{opacity:.6}
.card:has(.old) h2::after{content:"from before";margin-left:.8em;font-weight:400;font-size:.86rem;color:var(--faint);
animation:late 0s .4s both}
@keyframes late{from{visibility:hidden}to{visibility:visible}}
ul.plain{margin:8px 0 0;padding-left:1.2em}
#problems .bad,.refused{color:var(--bad)}
#problems:empty,#doubts:empty,#told:empty,#refused:empty{display:none}
#problems li{margin:4px 0}
#editor{height:min(70vh,640px);border:1px solid var(--faint);border-radius:5px;overflow:hidden}
#editor:focus-within{outline:2px solid var(--focus);outline-offset:1px}
pre{white-space:pre-wrap;font:14px/1.5 ui-monospace,monospace}
#link-box{font:inherit;width:100%;color:var(--ink);background:var(--ground);border:1px solid var(--faint);border-radius:4px;padding:5px 8px}
footer{color:var(--faint);font-size:.88rem;padding:18px 20px 40px}
@media (min-width:1080px){.desk{grid-template-columns:minmax(0,5fr) minmax(0,7fr)}
.left,.right{display:grid;gap:16px;min-width:0}}
@media (max-width:1079px){.left,.right{display:contents}.values{order:1}.waves{order:2}.tube{order:3}.verdicts{order:4}.text{order:5}}
@media (max-width:480px){header,main,footer{padding-left:10px;padding-right:10px}.card{padding:12px 10px}td,th{padding:5px 6px}}
@media (prefers-reduced-motion:no-preference){.old canvas{transition:opacity .15s .25s}}
#paper{display:none}
@media print{:root{color-scheme:light}body{background:#fff}#editor,button:not(.case),.skip,.stack select,.stack details,.knob-way,
.knob-ends,#pace{display:none!important}#paper{display:block}.desk,.left,.right{display:block}.card{margin:0 0 12px}
.case{border-color:var(--line)!important;background:none!important;color:var(--ink)!important}
.case[aria-pressed=true]{border:2px solid var(--ink)!important}.tools,#verdict{position:static}figure,tr,.caution,.panel{break-inside:avoid}h2{break-after:avoid}}
${narrowStyle}
`.trim();
