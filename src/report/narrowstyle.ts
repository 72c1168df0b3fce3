// The look of the verdicts on a telephone: each check takes a few lines, since six columns would push the verdict off the
// screen. Rows come from a table with the columns check, measured, limit, margin, verdict and where.

/** CSS to follow that of a page; its rows of verdicts have `data-check`. */
export const narrowStyle = `
@media screen and (max-width:600px){table:has(tr[data-check]){min-width:0}
table:has(tr[data-check]) thead{display:none}
tr[data-check]{display:grid;grid-template-columns:minmax(0,1fr) auto;gap:0 10px;padding:8px;border-top:1px solid var(--line)}
tr[data-check]:first-child{border-top:0}
tr[data-check] td{border:0;padding:0;text-align:left;white-space:normal;min-width:0;grid-column:1/-1;background:none}
tr[data-check] td:nth-child(1){grid-area:1/1}
tr[data-check] td:nth-child(5){grid-area:1/2}
tr[data-check] td:nth-child(2)::before{content:"measured "}
tr[data-check] td:nth-child(3)::before{content:"limit "}
tr[data-check] td:nth-child(4):not(:empty)::before{content:"margin "}
tr[data-check] td::before{color:var(--faint);font-weight:400}
tr[data-check].bad{background:var(--fails)}}
`.trim();
