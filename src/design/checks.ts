// Turns check statements into checks: the measure by its words, the target by its name, spans and limits as
// numbers. Limits must have the dimension of the measured value.

import type { Report } from "../base/diagnostic.js";
import { type Dimension, dimension, nameOf, unitOf } from "../base/dimension.js";
import { toNumber } from "../base/fraction.js";
import { show, si } from "../base/quantity.js";
import type { Limit } from "../measures/verdict.js";
import type { Measure } from "../measures/window.js";
import { called, type Kind } from "../parts/contract.js";
import type { Phrase } from "../syntax/phrase.js";
import type { Expression, Reference, Statement } from "../syntax/tree.js";
import { type CheckSpec, countable, type MeasureSpec, type PartSpec } from "./design.js";
import type { Places } from "./places.js";
import type { Scope } from "./scope.js";
import { pathText } from "./values.js";
import { reportName } from "./words.js";

type Check = Statement & { type: "check" };

const aspects: Readonly<Record<string, string>> = { current: "A", voltage: "V", power: "W" };
const limitedAspects: typeof aspects = { ...aspects, clipping: "", slewing: "" };

/** Traces of a part by its kind, with units. `clipping` is 1 at a limit of the output, `slewing` at the slew rate, else 0. */
export function aspectsOf({ limited, couples }: Kind): Readonly<Record<string, string>> {
  // A coupling between parts has no voltage and no current of its own.
  if (couples) return {};
  return limited ? limitedAspects : aspects;
}

/** Why a part cannot clip. */
export function noLimits(name: string, kind: Kind): string {
  return `'${name}' is ${called(kind)}: its output has no limits to stand at`;
}

/** The trace that a check looks at. */
export interface Target {
  readonly name: string;
  readonly unit: string;
}

/** Reads the checks of a design; the names of its places and parts must be complete. */
export class Checks {
  private readonly places: Places;
  private readonly report: Report;
  private named: Map<string, PartSpec> | undefined = undefined;
  private known: readonly string[] | undefined = undefined;

  constructor(
    private readonly parts: readonly PartSpec[],
    private readonly scope: Scope,
  ) {
    this.places = scope.at.places;
    this.report = scope.at.report;
  }

  /** The part of a name, of parts alike in name the first. */
  private part(name: string): PartSpec | undefined {
    this.named ??= new Map([...this.parts].reverse().map((p) => [p.name, p]));
    return this.named.get(name);
  }

  /** The check, or undefined if something is wrong with it. */
  read(s: Check): CheckSpec | undefined {
    const seen = this.seen(s);
    const limit = seen && this.limit(s, seen.spec.measure, seen.spec.unit);
    if (!limit || !seen.sound) {
      // What seeks it is not wrong.
      this.report.lose([s.name.text]);
      return undefined;
    }
    const { aim, ...bounds } = limit;
    return { name: s.name.text, ...seen.spec, limit: bounds, aim };
  }

  /** The measurement that a phrase asks for, or undefined if something is wrong with it. */
  measured(s: Phrase): MeasureSpec | undefined {
    const seen = this.seen(s);
    return seen?.sound ? seen.spec : undefined;
  }

  /** The measurement; not `sound` if its `through` level makes no sense. */
  private seen(s: Phrase): { readonly spec: MeasureSpec; readonly sound: boolean } | undefined {
    const { values } = this.scope;
    const words = s.measure.map((w) => w.text).join(" ");
    const { vocabulary } = this.scope.at;
    const measure = vocabulary.measure(words);
    if (!measure) {
      const first = s.measure[0];
      reportName(
        this.report,
        "unknown-measure",
        `there is no measure '${words}'`,
        { text: words, span: spanOf(s) ?? first.span },
        vocabulary.measures.map((m) => m.words),
      );
    }
    // With an unknown measure, `current` is assumed, so that no second error asks which aspect of a part is meant.
    const target = this.target(s.target, measure?.takes ?? "current");
    const seconds = (e: Expression | undefined, what: string) => {
      const q = e && values.fraction(e, dimension.time, what);
      return q ? toNumber(q) : undefined;
    };
    const at = seconds(s.at, "the instant");
    const after = seconds(s.window.after, "the start of the span");
    const before = seconds(s.window.before, "the end of the span");
    const from = seconds(s.window.within?.from, "the start of the span");
    const to = seconds(s.window.within?.to, "the end of the span");
    if (
      (from !== undefined && to !== undefined && from >= to) ||
      (after !== undefined && before !== undefined && after >= before)
    )
      return this.report.error("empty-span", "the span ends before it starts", s.span, {
        hint: "write the earlier instant first",
      });
    if (s.window.each && !this.beats(s.window.each) && this.scope.existing(s.window.each) === undefined)
      this.unknown(s.window.each);
    if (!measure || !target) return undefined;
    const needs = measure.needs;
    if ((needs === "at" && !s.at) || (needs === "through" && !s.through))
      return this.report.error(
        "missing-property",
        `'${words}' needs ${needs === "at" ? "'at' and a time" : "'through' and a level"}`,
        s.target.span,
        { hint: `add ${needs === "at" ? "an instant: 'at 1 ms'" : "a level: 'through 2.5 V'"}` },
      );
    const through = this.through(s, target.unit);
    const spec: MeasureSpec = {
      measure,
      target: target.name,
      unit: measure.unit(target.unit),
      span: s.span,
      at,
      through,
      ...(s.window.each && { each: pathText(s.window.each) }),
      ...(from !== undefined && to !== undefined && { within: { from, to } }),
      after,
      before,
    };
    return { spec, sound: !s.through || through !== undefined };
  }

  /** The trace of a name, or undefined if there is none. */
  trace(reference: Reference): Target | undefined {
    return this.target(reference, "value");
  }

  /** Whether a reference names a list of period starts of a signal: `camera.fields`. */
  private beats({ path: words }: Reference): boolean {
    const signal = words
      .slice(0, -1)
      .map((w) => w.text)
      .join(".");
    const part = this.part(signal);
    const shape = part && countable(part) ? part.wave?.shape : undefined;
    return shape?.kind === "packed" && (shape.periodStarts?.has(words.at(-1)!.text) ?? false);
  }

  private target(reference: Reference, takes: Measure["takes"]): Target | undefined {
    const name = pathText(reference);
    const last = reference.path[reference.path.length - 1].text;
    const whole = reference.path
      .slice(0, -1)
      .map((w) => w.text)
      .join(".");
    const find = (n: string) => this.part(n);
    const owner = find(whole);
    if (takes === "clipping" && !(owner && last === takes))
      return this.clipping(reference, find(name), owner);
    if (owner && last === "clipping" && !owner.kind.limited) return this.clipping(reference, owner);
    if (owner && Object.hasOwn(aspectsOf(owner.kind), last))
      return { name, unit: aspectsOf(owner.kind)[last] };
    const named = find(name);
    if (named?.kind.couples)
      return this.report.error(
        "which-aspect",
        `'${name}' is ${called(named.kind)}: look at the parts that it couples`,
        reference.span,
        {
          hint: `it couples ${named.couples?.map((one) => `'${one}'`).join(" and ")}`,
        },
      );
    if (takes !== "value" && named) return { name: `${name}.${takes}`, unit: aspects[takes] };
    if (this.places.find(name) !== undefined) return { name, unit: "V" };
    if (find(name))
      return this.report.error("which-aspect", `'${name}' is a part: say what of it`, reference.span, {
        hint: `'${name}.current', '${name}.voltage' or '${name}.power'`,
        fix: { span: reference.span, text: `${name}.current` },
      });
    this.unknown(reference);
    return undefined;
  }

  /**
   * The trace that shows whether a part is at a limit; otherwise reports why there is none.
   * @param part the part that was named
   * @param owner the part of which another trace was named
   */
  private clipping(reference: Reference, part?: PartSpec, owner?: PartSpec): Target | undefined {
    if (part?.kind.limited) return { name: `${part.name}.clipping`, unit: "" };
    const name = pathText(reference);
    const place = this.places.find(name);
    if (part) this.report.error("no-limits", noLimits(part.name, part.kind), reference.span);
    else if (place === undefined && !owner) this.unknown(reference);
    else {
      const meant = owner ?? this.parts.find((p) => p.head === place && p.kind.limited);
      const aid = meant?.kind.limited && {
        hint: `did you mean the part '${meant.name}'?`,
        fix: { span: reference.span, text: meant.name },
      };
      const message = `'${name}' is no part whose output has limits to stand at`;
      this.report.error("no-limits", message, reference.span, aid || {});
    }
    return undefined;
  }

  private unknown(reference: Reference): void {
    const known = () =>
      (this.known ??= [
        ...this.places.names,
        ...this.parts.flatMap((p) => Object.keys(aspectsOf(p.kind)).map((a) => `${p.name}.${a}`)),
      ]);
    reportName(
      this.report,
      "unknown-place",
      `no place or part is called '${pathText(reference)}'`,
      { text: pathText(reference), span: reference.span },
      known,
    );
  }

  private through(s: Phrase, unit: string): CheckSpec["through"] {
    if (!s.through) return undefined;
    const q = this.scope.values.quantity(s.through.level);
    if (!q) return undefined;
    if (unitOf(q.dimension) !== unit)
      return this.report.error(
        "wrong-dimension",
        `the level must be in ${unit}, but ${show(q)} is ${nameOf(q.dimension)}`,
        s.through.level.span,
        { hint: `give it in ${unit}` },
      );
    const direction = s.through.direction?.text;
    return { level: si(q), ...((direction === "rising" || direction === "falling") && { direction }) };
  }

  private limit(s: Check, measure: Measure, unit: string): (Limit & { aim?: number }) | undefined {
    const { values } = this.scope;
    const { limit } = s;
    const right = (dim: Dimension, e: { span: CheckSpec["span"] }, shown: string) => {
      if (unitOf(dim) === unit) return true;
      const wanted = unit === "" ? "a plain number or a share in %" : `in ${unit}`;
      this.report.error(
        "wrong-dimension",
        `'${measure.words}' of ${pathText(s.target)} is ${wanted}, but the limit ${shown} is ${nameOf(dim)}`,
        e.span,
        { hint: `give the limit ${unit === "" ? "without a unit, or in %" : wanted}` },
      );
      return false;
    };
    const level = (e: Expression): number | undefined => {
      const q = values.quantity(e);
      return q && right(q.dimension, e, show(q)) ? si(q) : undefined;
    };
    if (limit.type === "is") {
      const amount = values.amount(limit.amount, undefined, "the limit");
      if (!amount || !right(amount.dimension, limit.amount, show(amount))) return undefined;
      if (measure.shown !== "count" && !limit.amount.tolerance && amount.low.equals(amount.high))
        return this.report.error(
          "exact-limit",
          "a measured value never equals a number exactly",
          limit.span,
          {
            hint: `add a tolerance: 'is ${show(amount)} +- ${amount.value.n === 0n ? `0.01 ${unit}` : "3 %"}'`,
          },
        );
      const aim = toNumber(amount.value);
      return { low: toNumber(amount.low), high: toNumber(amount.high), aim };
    }
    if (limit.type === "between") {
      const low = level(limit.low);
      const high = level(limit.high);
      if (low === undefined || high === undefined) return undefined;
      if (low <= high) return { low, high };
      return this.report.error("limit-order", "the lower limit is above the upper one", limit.span, {
        hint: "write the lower one first",
      });
    }
    const bound = level(limit.level);
    if (bound === undefined) return undefined;
    return limit.type === "below" ? { high: bound } : { low: bound };
  }
}

function spanOf(s: Phrase): CheckSpec["span"] | undefined {
  const first = s.measure[0]?.span;
  const last = s.measure[s.measure.length - 1]?.span;
  if (!first || !last || first.line !== last.line) return first;
  return { ...first, length: last.column + last.length - first.column };
}
