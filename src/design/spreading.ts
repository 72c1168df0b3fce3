// How a value spreads: the words after it that say how it is distributed within its tolerance, which other value it tracks,
// and what temperature does to it. The first two are about the value's own tolerance, so they are refused for a value that
// has none, or that follows a named value.
import type { Report } from "../base/diagnostic.js";
import { combine, dimension, nameOf, sameDimension, unitOf } from "../base/dimension.js";
import type { Fraction } from "../base/fraction.js";
import { quantity, show } from "../base/quantity.js";
import type { Property, Reference } from "../syntax/tree.js";
import type { Amount, Spreading } from "./design.js";
import type { SettableValue } from "./revalue.js";
import { pathText, type ValueReader } from "./values.js";
import { hintOf, repeated, reportName, shown } from "./words.js";

/** How a value may be distributed within its tolerance. */
export const distributionWords = ["uniform", "normal", "sorted"] as const;

/** The words that may follow a value, and what they take. */
export const spreadWords: Readonly<Record<string, { readonly takes: string; readonly summary: string }>> = {
  spread: {
    takes: "a word",
    summary:
      "how values lie within the tolerance: `uniform` (unless given), `normal` (a third of the tolerance is its " +
      "standard deviation, nothing beyond), `sorted` (normal, but the best were sold as a tighter class)",
  },
  gap: {
    takes: "a share of the value, or its own unit",
    summary: "with `spread sorted`: no value is as near as this, half of the tolerance unless given",
  },
  tracks: {
    takes: "the name of a value",
    summary: "always stands at the same place within its tolerance as that one does within its own",
  },
  drift: {
    takes: "a share or the value's unit, a kelvin",
    summary: "change with temperature: `drift -0.3 %/K`; may have a tolerance",
  },
  wanders: {
    takes: "a share of the value",
    summary: "how far temperature may move it either way, besides its tolerance: 15 % of X7R",
  },
};

/** A value with what its words say. Mistakes go to the report. */
export function readSpreading(
  amount: Amount,
  words: readonly Property[],
  what: string,
  values: ValueReader,
  report: Report,
): Amount {
  const met = new Map<string, Property>();
  const found: { -readonly [K in keyof Spreading]: Spreading[K] } = {};
  const wrong = (p: Property, message: string, hint?: string) =>
    report.error("property-form", message, p.span, { hint });
  for (const p of words) {
    const word = p.word.text;
    if (repeated(met, p, report)) continue;
    met.set(word, p);
    const { value } = p;
    if (value.type !== "amount" || value.how || value.at) {
      wrong(p, `'${word}' takes ${spreadWords[word].takes}`, hintOf(spreadWords[word]));
      continue;
    }
    if (word === "spread" || word === "tracks") {
      const name = lone(p);
      if (!name) wrong(p, `'${word}' takes ${spreadWords[word].takes}`);
      else if (word === "tracks") found.tracks = { name: pathText(name), span: name.span };
      else found.shape = shapeOf(name, report);
      continue;
    }
    const { value: e, tolerance } = value.amount;
    if (word === "drift") {
      const drift = values.amount(value.amount, undefined, "the drift");
      if (!drift) continue;
      const absolute = sameDimension(drift.dimension, combine(amount.dimension, dimension.temperature, -1));
      const share = combine(dimension.number, dimension.temperature, -1);
      if (absolute || sameDimension(drift.dimension, share)) found.drift = { amount: drift, absolute };
      else
        report.error(
          "wrong-dimension",
          `the drift of ${what} must be a share or ${unitOf(amount.dimension) || "a number"} a kelvin, ` +
            `but ${show(quantity(drift.value, drift.dimension))} is ${nameOf(drift.dimension)}`,
          e.span,
          { hint: "write it like 'drift -0.3 %/K' or 'drift 30 ppm/K'" },
        );
      continue;
    }
    if (tolerance) {
      wrong(p, `'${word}' has no tolerance of its own`);
      continue;
    }
    if (word === "wanders") {
      const share = values.fraction(e, dimension.number, "what a value wanders", "share");
      if (share) found.wanders = share;
    } else found.gap = gapOf(e, amount, values);
  }
  demand(amount, met, found, what, report);
  return met.size === 0 ? amount : { ...amount, spreading: found };
}

// `gap 5 %` is a share of the value, like a tolerance.
function gapOf(
  e: Parameters<ValueReader["quantity"]>[0],
  amount: Amount,
  values: ValueReader,
): Spreading["gap"] | undefined {
  const q = values.quantity(e);
  if (!q) return undefined;
  const share = sameDimension(q.dimension, dimension.number);
  const size = share ? q.value : values.fraction(e, amount.dimension, "the gap");
  return size && { size, share, span: e.span };
}

/** How far the gap of a sorted value reaches on either side, in the value's unit. */
export function gapReach({ value, low, high, spreading }: Amount): Fraction {
  const [below, above] = [value.sub(low), high.sub(value)];
  const gap = spreading?.gap;
  if (!gap) return (below.lt(above) ? below : above).div(2);
  return gap.share ? gap.size.mul(value.abs()) : gap.size;
}

function demand(
  amount: Amount,
  met: ReadonlyMap<string, Property>,
  { shape, gap }: Spreading,
  what: string,
  report: Report,
): void {
  const own = amount.follows === undefined && amount.low.lt(amount.high);
  for (const word of ["spread", "gap", "tracks"]) {
    const p = met.get(word);
    if (!p || own) continue;
    const hint =
      amount.follows === undefined
        ? "write one behind the value: '15 nF +- 5 %'"
        : `it follows '${amount.follows}'; say it there`;
    report.error("no-tolerance", `${what} has no tolerance of its own for '${word}'`, p.span, { hint });
  }
  if (!gap) return;
  if (shape !== undefined && shape !== "sorted" && own) {
    report.error("property-form", "only sorted parts have a gap", gap.span, {
      hint: "write 'spread sorted'",
    });
    return;
  }
  const reach = gapReach({ ...amount, spreading: { gap } });
  const { value, low, high } = amount;
  if (own && (reach.s < 0n || !value.sub(reach).gt(low) || !value.add(reach).lt(high)))
    report.error("gap-range", `the gap must leave some of the tolerance of ${what} on both sides`, gap.span, {
      hint: "make the gap smaller than the tolerance",
    });
}

function shapeOf({ path: words, span }: Reference, report: Report): Spreading["shape"] {
  const text = words.map((w) => w.text).join(".");
  const known = distributionWords.find((word) => word === text);
  if (!known)
    reportName(
      report,
      "unknown-spread",
      `values are not spread '${text}'`,
      { text, span },
      distributionWords,
    );
  return known;
}

function lone(p: Property): Reference | undefined {
  if (p.value.type !== "amount" || p.value.amount.tolerance) return undefined;
  const e = p.value.amount.value;
  return e.type === "name" ? e.reference : undefined;
}

/** The full name of the value that another one tracks, if it exists. */
export function trackedName(
  name: string,
  tracks: string,
  known: ReadonlyMap<string, unknown>,
): string | undefined {
  // Names inside a block come before those around it.
  const inside = name.slice(0, name.lastIndexOf(".") + 1) + tracks;
  return [inside, tracks].find((candidate) => candidate !== name && known.has(candidate));
}

/** Reports a tracked value that does not exist, has no tolerance, or leads back to the value that tracks it. */
export function checkTracks(all: ReadonlyMap<string, SettableValue>, report: Report): void {
  const next = (name: string) => {
    const tracks = all.get(name)?.amount.spreading?.tracks;
    return tracks && trackedName(name, tracks.name, all);
  };
  let varied: readonly string[] | undefined;
  // A way that was walked is not walked again, or of a long chain each part would be; and a round is told once.
  const walked = new Set<string>();
  for (const [name, { amount }] of all) {
    const tracks = amount.spreading?.tracks;
    if (!tracks) continue;
    const found = next(name);
    if (found === undefined) {
      const message = `no value that '${name}' could track is called '${tracks.name}'`;
      reportName(report, "unknown-value", message, { text: tracks.name, span: tracks.span }, () => {
        varied ??= [...all].flatMap(([other, n]) => (varies(n.amount) ? [other] : []));
        return varied.filter((other) => other !== name);
      });
      continue;
    }
    if (!varies(all.get(found)!.amount)) {
      report.error("no-tolerance", `'${found}' has no tolerance of its own to track`, tracks.span, {
        hint: "give it one: '+- 5 %'",
      });
      continue;
    }
    if (walked.has(name)) continue;
    const way = new Set([name]);
    let at: string | undefined = found;
    for (; at !== undefined && !way.has(at) && !walked.has(at); at = next(at)) way.add(at);
    if (at !== undefined && way.has(at)) {
      const names = [...way];
      const round = shown([...names.slice(names.indexOf(at)), at]).join(" → ");
      const { span } = all.get(at)!.amount.spreading!.tracks!;
      report.error("circular-value", `what '${at}' tracks leads back to itself: ${round}`, span, {
        hint: "one of them must not track another",
      });
    }
    for (const one of way) walked.add(one);
  }
}

function varies({ follows, low, high }: Amount): boolean {
  return follows === undefined && low.lt(high);
}
