// The figures of bench/README.md, from a whole bench: no figure on that page is typed by hand.
// Takes the results and the rows; replaces what stands between the two marks of the page and leaves the rest.
import { readFileSync, writeFileSync } from "node:fs";
import { availableParallelism, cpus, totalmem } from "node:os";
import { yardstick } from "./rows.mjs";

const page = new URL("README.md", import.meta.url);
const [begin, end] = ["<!-- figures -->", "<!-- end of figures -->"];

/** Writes the page. */
export function writePage(results, rows) {
  const text = readFileSync(page, "utf8");
  const [from, to] = [text.indexOf(begin), text.indexOf(end)];
  if (from < 0 || to < from) throw new Error("bench/README.md has lost the marks of its figures");
  const middle = [machine(results), table(results, rows), losses(results)].join("\n\n");
  writeFileSync(page, `${text.slice(0, from + begin.length)}\n\n${middle}\n\n${text.slice(to)}`);
}

function machine(results) {
  const { seconds } = results.find(({ name }) => name === "machine");
  const day = new Intl.DateTimeFormat("en-GB", { dateStyle: "long" }).format(new Date());
  const model = cpus()[0]?.model.replaceAll(/\s+/g, " ") ?? "an unknown processor";
  const memory = `${Math.round(totalmem() / 2 ** 30)} GiB`;
  return [
    `${model}, ${availableParallelism()} cores, ${memory}, Node ${process.version.slice(1)}, ${day}.`,
    `The loop by hand takes ${figure(seconds)} s, so a demand of 1 s is one of ${figure(seconds / yardstick)} s here.`,
  ].join("\n");
}

function table(results, rows) {
  const lines = [["row", "wall", "measured", "must", "met", "times as fast as"]];
  for (const result of results) {
    const { name, seconds, value, values, must, met, ratios, reason } = result;
    const row = rows.find((one) => one.name === name);
    const all = values ?? (row.must.length === 1 && value !== null ? { [row.must[0].what]: value } : {});
    const measured = row.must.flatMap(({ what, unit }) =>
      all[what] === undefined ? [] : [`${what} ${figure(all[what])}${unit && ` ${unit}`}`],
    );
    const against = Object.entries(ratios).map(([what, ratio]) => `${what}: ${figure(ratio)}`);
    lines.push([
      `\`${name}\``,
      seconds === null ? "" : `${figure(seconds)} s`,
      measured.join("; ") || reason || "",
      must,
      met === true ? "yes" : met === false ? "**no**" : met,
      against.join("; "),
    ]);
  }
  const widths = lines[0].map((_, i) => Math.max(...lines.map((cells) => cells[i].length)));
  const shown = lines.map((cells) => `| ${cells.map((cell, i) => cell.padEnd(widths[i])).join(" | ")} |`);
  shown.splice(1, 0, `| ${widths.map((width) => "-".repeat(width)).join(" | ")} |`);
  return shown.join("\n");
}

/** Where the tool loses: what falls short of its demand, and what something else does faster. */
function losses(results) {
  const short = results.flatMap(({ name, met, reason }) =>
    met === true
      ? []
      : [`- \`${name}\` ${met === false ? "is not met" : "is not run"}${reason ? `: ${reason}` : ""}.`],
  );
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
