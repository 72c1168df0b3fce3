// The figures of bench/README.md, as they were measured: no figure on that page is typed by hand.
// Takes the results and the rows; replaces what stands between the two marks of the page and leaves the rest.
import { readFileSync, writeFileSync } from "node:fs";
import { availableParallelism, cpus, totalmem } from "node:os";
import { yardstick } from "./rows.mjs";

const page = new URL("README.md", import.meta.url);
const [begin, end] = ["<!-- figures -->", "<!-- end of figures -->"];
let scale = 1;

/** Writes the page. */
export function writePage(results, rows) {
  const text = readFileSync(page, "utf8");
  const [from, to] = [text.indexOf(begin), text.indexOf(end)];
  if (from < 0 || to < from) throw new Error("bench/README.md has lost the marks of its figures");
  scale = results.find(({ name }) => name === "machine").seconds / yardstick;
  const middle = [machine(results), table(results, rows), losses(results, rows)].join("\n\n");
  writeFileSync(page, `${text.slice(0, from + begin.length)}\n\n${middle}\n\n${text.slice(to)}`);
}

function machine(results) {
  const { seconds } = results.find(({ name }) => name === "machine");
  const day = new Intl.DateTimeFormat("en-GB", { dateStyle: "long" }).format(new Date());
  const model = cpus()[0]?.model.replaceAll(/\s+/g, " ") ?? "an unknown processor";
  const memory = `${Math.round(totalmem() / 2 ** 30)} GiB`;
  return [
    `${model}, ${availableParallelism()} cores, ${memory}, Node ${process.version.slice(1)}, ${day}.`,
    `The loop by hand takes ${figure(seconds)} s, so where 1 s is asked for, ${figure(scale)} s are allowed here.`,
  ].join("\n");
}

function table(results, rows) {
  const lines = [["row", "wall", "measured, and what it must reach", "met", "times as fast as"]];
  for (const result of results) {
    const { name, seconds, met, ratios, reason } = result;
    const measured = demands(result, rows).map(
      ({ what, unit, sense, bound, value }) =>
        `${what} ${value === undefined ? "not measured" : `${figure(value)}${unit}`} (${sense} ${bound}${unit})`,
    );
    lines.push([
      `\`${name}\``,
      seconds === null ? "" : `${figure(seconds)} s`,
      [...measured, ...(reason ? [reason] : [])].join("; ") || "the yardstick",
      met === true ? "yes" : met === false ? "**no**" : met,
      Object.entries(ratios)
        .map(([what, ratio]) => `${what}: ${figure(ratio)}`)
        .join("; "),
    ]);
  }
  const widths = lines[0].map((_, i) => Math.max(...lines.map((cells) => cells[i].length)));
  const shown = lines.map((cells) => `| ${cells.map((cell, i) => cell.padEnd(widths[i])).join(" | ")} |`);
  shown.splice(1, 0, `| ${widths.map((width) => "-".repeat(width)).join(" | ")} |`);
  return shown.join("\n");
}

/** What a row must reach, bounds as they are on this machine, each with what was measured where there is anything. */
function demands({ name, value, values }, rows) {
  const { must } = rows.find((row) => row.name === name);
  const all = values ?? (must.length === 1 && value !== null ? { [must[0].what]: value } : {});
  return must.map((one) => ({
    ...one,
    unit: one.unit && ` ${one.unit}`,
    bound: one.unit === "s" ? figure(one.bound * scale) : one.bound,
    value: all[one.what] ?? undefined,
  }));
}

/** Where the tool loses: what falls short of its demand, and what something else does faster. */
function losses(results, rows) {
  const short = results
    .filter(({ met }) => met !== true)
    .map((result) => {
      const missed = demands(result, rows).flatMap(({ what, sense, bound, value }) => {
        if (value === undefined) return [];
        const factor = sense === ">=" ? bound / value : value / bound;
        return factor > 1 ? [`${what} misses by a factor of ${figure(factor)}`] : [];
      });
      const why = [...missed, ...(result.reason ? [result.reason] : [])].join("; ");
      return `- \`${result.name}\` is not ${result.met === false ? "met" : "run"}: ${why}.`;
    });
  const slower = results.flatMap(({ name, ratios }) =>
    Object.entries(ratios)
      .filter(([, ratio]) => ratio < 1)
      .map(([what, ratio]) => `- \`${name}\`: ${what} is ${figure(1 / ratio)} times as fast.`),
  );
  const all = [...short, ...slower];
  return ["## Where it loses", "", ...(all.length > 0 ? all : ["Nowhere in these rows."])].join("\n");
}

function figure(x) {
  const short = Number(x.toPrecision(3));
  return short !== 0 && (Math.abs(short) < 1e-3 || Math.abs(short) >= 1e6)
    ? short.toExponential()
    : String(short);
}
