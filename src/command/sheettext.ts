// The bench sheet on the terminal, and as a table for other programs.
import { figureText, meaningText, settingLines } from "../report/benchpage.js";
import type { BenchFigure } from "../workshop/benchfigure.js";
import type { BenchSheet } from "../workshop/benchsheet.js";
import { type Cell, csvRows } from "../workshop/csvrows.js";
import { columns } from "./table.js";

/** The sheet for people, line by line. */
export function sheetLines({ title, points, boards }: BenchSheet): string[] {
  const lines = [title];
  for (const [i, point] of points.entries()) {
    const { name, of, unit, meanings } = point;
    lines.push("", `${i + 1}. ${of}${name === "" ? "" : `, ${name}`}`);
    const figures = [...point.levels, ...point.times, ...point.checks];
    const rows = figures.map((one) => [one.what, figureText(one)]);
    lines.push(...columns(rows, new Set()).map((line) => `   ${line}`));
    lines.push(`   ${settingLines(point).join("; ")}`);
    for (const one of meanings) lines.push(`   ${one.looks}: ${meaningText(one, unit)}`);
  }
  if (boards > 0) lines.push("", `In brackets the range of ${boards} boards drawn within their tolerances.`);
  return lines;
}

/** The sheet for other programs: one row per figure, SI units, with an empty column for the reading. */
export function sheetCsv({ points }: BenchSheet): string {
  const heads =
    "number,place,name,figure,unit,value,low,high,least,most,per division,coupling,time per division,trigger,level,slope,read";
  const rows = points.flatMap(({ of, name, setting, ...point }, i) =>
    [...point.levels, ...point.times, ...point.checks].map((one: BenchFigure): Cell[] => [
      i + 1,
      of,
      name,
      one.what,
      one.unit,
      one.value,
      one.low,
      one.high,
      one.limit?.low,
      one.limit?.high,
      setting.perDivision,
      setting.coupling,
      setting.timePerDivision,
      setting.trigger?.source,
      setting.trigger?.level,
      setting.trigger?.slope,
      "",
    ]),
  );
  return csvRows([heads.split(","), ...rows]);
}
