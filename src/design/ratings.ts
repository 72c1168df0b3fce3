// The ratings of a part: `rated 0.25 W`, `rated 300 mA peak`, `rated 16 V`; a part may have several.
// The unit says whether it is a power, a current or a voltage; a word after it says how that is measured. Without one it is what
// data sheets mean: power is a mean (it heats), current is rms (it heats a channel or a winding), voltage is the peak either way.
import type { Report } from "../base/diagnostic.js";
import { dimension, nameOf, sameDimension } from "../base/dimension.js";
import { toNumber } from "../base/fraction.js";
import { show } from "../base/quantity.js";
import { inRange } from "../parts/range.js";
import type { Property } from "../syntax/tree.js";
import type { Rating } from "./design.js";
import type { ValueReader } from "./values.js";
import { reportName } from "./words.js";

/** The quantities that can be rated, with the words that may follow; the first is the default. */
export const ratable = {
  power: { dimension: dimension.power, sizes: ["mean", "peak"] },
  current: { dimension: dimension.current, sizes: ["rms", "peak", "mean", "reverse"] },
  voltage: { dimension: dimension.voltage, sizes: ["peak", "rms", "mean", "reverse"] },
} as const;

/** What each word means. */
export const ratedSizes: Readonly<Record<Rating["size"], string>> = {
  mean: "the mean over time; of a current or voltage its size, whichever way",
  rms: "the root of the mean square over time",
  peak: "the largest at any instant, either way; of a power the largest that is taken up",
  reverse: "the largest at any instant against the arrow",
};

/** The ratings among the words of a part. */
export function readRatings(
  words: readonly Property[],
  name: string,
  values: ValueReader,
  report: Report,
): Rating[] {
  const found: Rating[] = [];
  for (const p of words) {
    if (p.value.type !== "amount" || p.value.at || p.value.amount.tolerance) {
      report.error("property-form", "'rated' takes a power, a current or a voltage", p.span, {
        hint: "write it like 'rated 0.25 W' or 'rated 300 mA peak'",
      });
      continue;
    }
    const e = p.value.amount.value;
    const q = values.quantity(e);
    if (!q) continue;
    const known = Object.entries(ratable) as [Rating["of"], (typeof ratable)[Rating["of"]]][];
    const of = known.find(([, one]) => sameDimension(one.dimension, q.dimension));
    if (!of) {
      const is = `${show(q)} is ${nameOf(q.dimension)}`;
      report.error(
        "wrong-dimension",
        `'${name}' can be rated for a power, a current or a voltage, but ${is}`,
        e.span,
        { hint: "give it in W, A or V" },
      );
      continue;
    }
    if (!inRange(q.value, "positive")) {
      report.error("out-of-range", `a rating is greater than zero, but this is ${show(q)}`, e.span, {
        hint: "give the size that the part bears",
      });
      continue;
    }
    const { how } = p.value;
    const sizes: readonly Rating["size"][] = of[1].sizes;
    const size = how ? sizes.find((word) => word === how.text) : sizes[0];
    if (!size) {
      reportName(report, "unknown-rating", `a ${of[0]} is not rated '${how!.text}'`, how!, sizes);
      continue;
    }
    if (found.some((one) => one.of === of[0] && one.size === size)) {
      report.error("repeated-property", `the ${size} ${of[0]} of '${name}' is rated twice`, p.span, {
        hint: "delete one of them",
      });
      continue;
    }
    found.push({ of: of[0], size, level: toNumber(q.value), span: p.span });
  }
  return found;
}
