// The look of our pages on a telephone. Each check takes a few lines, since six columns would push the verdict off the
// screen; rows come from a table with the columns check, measured, limit, margin, verdict and where. What is touched is as
// tall as a finger is wide, letters keep their size when the telephone is turned, and tools do not stay on a low screen.

/** CSS to follow that of a page; its rows of verdicts have `data-check`. Its buttons are `--touch` tall. */
export const narrowStyle = `
@media (max-width:600px),(max-height:500px){.stack .tools{position:static}}
html{-webkit-text-size-adjust:100%;text-size-adjust:100%}
:root{--touch:32px}
@media (pointer:coarse){:root{--touch:44px}
summary{padding:11px 0}
.times:empty::before{content:"Touch a waveform to read it.";color:var(--faint)}
.chooser label{padding:11px 0}
.chooser input{width:20px;height:20px;vertical-align:middle}
.text code{display:inline-block;line-height:28px}}
@media screen and (max-width:600px){.wide table:not(:has(tr[data-check])){width:max-content;min-width:100%}
.wide td{max-width:16rem}
table:has(tr[data-check]){min-width:0}
table:has(tr[data-check]) thead{display:none}
tr[data-check]{display:grid;grid-template-columns:minmax(0,1fr) auto;gap:0 10px;padding:8px;border-top:1px solid var(--line)}
tr[data-check]:first-child{border-top:0}
tr[data-check] td{border:0;padding:0;text-align:left;white-space:normal;min-width:0;max-width:none;grid-column:1/-1;
background:none}
tr[data-check] td:nth-child(1){grid-area:1/1}
tr[data-check] td:nth-child(5){grid-area:1/2}
tr[data-check] td:nth-child(2)::before{content:"measured "}
tr[data-check] td:nth-child(3)::before{content:"limit "}
tr[data-check] td:nth-child(4):not(:empty)::before{content:"margin "}
tr[data-check] td::before{color:var(--faint);font-weight:400}
tr[data-check].bad{background:var(--fails)}}
`.trim();
