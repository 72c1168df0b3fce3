// The look of the interactive waveforms in the page, for light and dark. On paper the still pictures replace them.

/** CSS of interactive waveforms, wherever they are; the colours are those of the page around them. */
export const stackStyle = `
.stack{margin:12px 0 0;background:var(--paper);border:1px solid var(--line);border-radius:4px;padding:0 12px 10px}
.stack:focus-visible,.stack :focus-visible{outline:3px solid var(--focus);outline-offset:1px}
.tools{position:sticky;top:0;z-index:2;display:flex;flex-wrap:wrap;gap:6px;align-items:center;background:var(--paper);
padding:8px 0;border-bottom:1px solid var(--line)}
.stack button,.stack select{font:inherit;font-size:.9rem;color:var(--ink);background:var(--ground);border:1px solid var(--edge);
border-radius:4px;padding:2px 10px;min-height:var(--touch);min-width:var(--touch);max-width:100%}
.stack button:hover,.stack select:hover{border-color:var(--ink)}
.stack select{max-width:14rem}
.shows{margin-left:auto;font-size:.85rem;color:var(--faint)}
.times{flex:1 1 100%;font-size:.9rem;min-height:1.5em}
.panel{padding-top:8px;border-left:3px solid transparent;margin-left:-9px;padding-left:6px}
.panel.chosen{border-left-color:var(--focus)}
.panel .head{display:flex;flex-wrap:wrap;gap:0 10px;align-items:baseline;font-size:.9rem;padding-left:54px;min-height:1.5em}
.panel .head small{color:var(--faint);margin-left:-6px}
.panel .limits{color:var(--limit);font-size:.8rem}
.panel .values{margin-left:auto;font-weight:600}
.plot{width:100%;overflow:hidden}
.uplot,.uplot *{box-sizing:border-box}
.u-wrap{position:relative;user-select:none}
.u-over,.u-under{position:absolute}
.u-over{overflow:hidden;cursor:crosshair;touch-action:pan-y}
.uplot canvas{display:block;width:100%;height:100%}
.u-axis{position:absolute}
.u-select{display:none}
.cursor{position:absolute;top:0;bottom:0;width:0;margin-left:-1px;border-left:1.5px solid var(--ink);pointer-events:none}
.cursor.second{border-left:1.5px dashed var(--plot-ampere)}
.band{position:absolute;top:0;bottom:0;background:var(--focus);opacity:.18;pointer-events:none}
.glass{position:relative;display:block;max-width:100%}
.spot{position:absolute;width:14px;height:14px;margin:-7px 0 0 -7px;border:2px solid #ffb000;border-radius:50%;
background:rgba(255,176,0,.55);pointer-events:none}
.spot.dark{background:none}
.foot{text-align:center;font-size:.85rem;font-weight:600;color:var(--faint);margin:2px 0 6px}
.chooser label{display:inline-block;margin:4px 16px 4px 0;font-size:.9rem}
.keys dl{display:grid;grid-template-columns:max-content 1fr;gap:2px 14px;margin:6px 0;font-size:.9rem}
.keys dt{font-weight:600}
.keys dd{margin:0}
@media (max-width:600px){.stack{padding:0 6px 8px}.panel{margin-left:-5px;padding-left:2px}
.panel .head{padding-left:8px}.panel .values{margin-left:0;flex-basis:100%}.keys dl{grid-template-columns:1fr}}
`.trim();

/** CSS of a page with such waveforms, to follow that of the page. */
export const movingStyle = `
${stackStyle}
.moves figure.still{display:none}
.text :focus-visible,.drawing :focus-visible,.wide:focus-visible,.still:focus-visible,button:focus-visible
{outline:3px solid var(--focus);outline-offset:1px}
button,select{font:inherit;font-size:.9rem;color:var(--ink);background:var(--ground);border:1px solid var(--edge);
border-radius:4px;padding:2px 10px;min-height:var(--touch);min-width:var(--touch);max-width:100%}
button:hover,select:hover{border-color:var(--ink)}
.glass{width:576px}
.text .chosen{background:var(--chosen);border-radius:2px}
.text [tabindex],.drawing [tabindex]{cursor:pointer}
.text [tabindex]:hover{text-decoration:underline}
.drawing .chosen path,.drawing .chosen circle,.drawing .chosen rect,.drawing rect.chosen{stroke:#b3560b;stroke-width:2.6}
.drawing .part .hit,.drawing .chosen .hit{fill:transparent;stroke:none;pointer-events:all}
.told{min-height:1.5em;color:var(--faint);font-size:.9rem}
td.where small{display:inline}
td button{float:right;margin-left:10px;min-height:calc(var(--touch) - 6px);padding:0 10px}
@media print{.moving,.told,td button,.spot,.beam{display:none}.moves figure.still{display:block}}
`.trim();
