// What a case changes: which value, signal, supply or part, and how. Targets are looked up by their full names
// while the circuit is put together; a change whose target never came is reported with the nearest name.

import type { Report } from "../base/diagnostic.js";
import { dimension } from "../base/dimension.js";
import type { Span } from "../base/span.js";
import { gated, scaled, type Wave } from "../signals/wave.js";
import type { Change, Valued, Waveform } from "../syntax/tree.js";
import type { Amount, Settings } from "./design.js";
import { withValue } from "./revalue.js";
import { pathText, type ValueReader } from "./values.js";
import { reportName } from "./words.js";

/** What may follow each verb; the time of `dead` is optional. */
export const changeVerbs: Readonly<Record<string, readonly ("at" | "amount" | "wave")[]>> = {
  stops: ["at"],
  starts: ["at"],
  scaled: ["amount"],
  is: ["amount", "wave"],
  open: [],
  short: [],
  dead: ["at"],
};

/** The changes of one case, handed out as their targets come by. */
export class Changes {
  private readonly byTarget = new Map<string, Change[]>();
  private readonly met = new Set<string>();

  /** @param layers values that replace those of the text, later layers over earlier ones */
  constructor(
    changes: readonly Change[],
    private readonly report: Report,
    private readonly layers: readonly Settings[] = [],
  ) {
    for (const change of changes) {
      const { text } = change.verb;
      if (!Object.hasOwn(changeVerbs, text)) {
        if (/^\d/.test(text)) {
          // A number stands where the verb should: `timing 18 nF`.
          const fix = { span: { ...change.verb.span, length: 0 }, text: "is " };
          report.error("unknown-change", `nothing can be '${text}'`, change.verb.span, {
            hint: "before a value stands 'is': 'timing is 18 nF'",
            fix,
          });
          continue;
        }
        // Of a word without a time only what needs none is meant: `off` is `dead`, not `stops`.
        const known = Object.keys(changeVerbs).filter(
          (word) => change.at || !["stops", "starts"].includes(word),
        );
        reportName(report, "unknown-change", `nothing can be '${text}'`, change.verb, known);
        continue;
      }
      if (this.spare(change, changeVerbs[text])) continue;
      const target = pathText(change.target);
      if (this.again(target, change)) continue;
      this.byTarget.set(target, [...(this.byTarget.get(target) ?? []), change]);
    }
  }

  /** Refuses a time or a value that a verb has no use for, rather than ignoring it. */
  private spare(change: Change, taken: readonly string[]): boolean {
    const { at, amount, verb } = change;
    const spare = at && !taken.includes("at") ? at : amount && !taken.includes("amount") ? amount : undefined;
    if (!spare) return false;
    const timed = taken.includes("at") && !at;
    const hint = timed
      ? `a time stands behind 'at': '${verb.text} at 2 ms'`
      : spare === at
        ? "only 'stops', 'starts' and 'dead' take a time; what changes later is a signal, or a switch 'closed after 2 ms'"
        : undefined;
    this.report.error("change-form", `'${verb.text}' has no use for what stands behind it`, spare.span, {
      hint,
      ...(timed && { fix: { span: { ...spare.span, length: 0 }, text: "at " } }),
    });
    return true;
  }

  /** Refuses a change that would undo another one of the same case. */
  private again(target: string, { verb, span }: Change): boolean {
    const faults = ["open", "short"];
    const same = (text: string) =>
      text === verb.text || (faults.includes(text) && faults.includes(verb.text));
    const first = this.byTarget.get(target)?.find((change) => same(change.verb.text));
    if (!first) return false;
    this.report.error("change-form", `'${target}' is changed twice in one case`, span, {
      hint: `by '${first.verb.text}' and by '${verb.text}': delete the one, or make a case of it`,
    });
    return true;
  }

  /** The value that `is` gives to a named value. */
  given(name: string): Valued | undefined {
    let value: Valued | undefined;
    for (const change of this.take(name)) {
      if (change.verb.text === "is" && change.amount) value = change.amount;
      else this.refuse(change, "a value", "is");
    }
    return value;
  }

  /** An amount with the value that was set for its full name. A fixed override yields to the case's own `is`. */
  exact(name: string, amount: Amount): Amount {
    const inCase = this.byTarget.get(name)?.some((change) => change.verb.text === "is");
    let found = amount;
    for (const layer of this.layers) {
      const value = layer.get(name);
      if (typeof value === "function") found = withValue(found, value(found));
      else if (value && !inCase) found = withValue(found, value);
    }
    return found;
  }

  /** The value that `is` gives to a part, and whether the part is open or short, with the place where that is said. */
  part(name: string): { value?: Valued; fault?: "open" | "short"; said?: Span } {
    const found: ReturnType<Changes["part"]> = {};
    for (const change of this.take(name)) {
      const verb = change.verb.text;
      if (verb === "is" && change.amount) found.value = change.amount;
      else if (verb === "open" || verb === "short") [found.fault, found.said] = [verb, change.verb.span];
      else this.refuse(change, "a part", "is, open or short");
    }
    return found;
  }

  /** How a case changes a signal or supply: its wave, its value, or a fault. */
  source(
    name: string,
    values: ValueReader,
  ): { apply: (wave: Wave) => Wave; value?: Valued; wave?: Waveform; fault?: "open" | "short" } {
    const steps: ((wave: Wave) => Wave)[] = [];
    const found: { value?: Valued; wave?: Waveform; fault?: "open" | "short" } = {};
    for (const change of this.take(name)) {
      const verb = change.verb.text;
      const time = () =>
        change.at ? values.fraction(change.at, dimension.time, "the time of the change") : undefined;
      if (verb === "is" && change.amount) found.value = change.amount;
      else if (verb === "is" && change.wave) found.wave = change.wave;
      else if (verb === "open" || verb === "short") found.fault = verb;
      else if (verb === "dead") {
        const stops = time();
        steps.push((wave) => (stops ? gated(wave, { stops }) : scaled(wave, wave.scale.sub(wave.scale))));
      } else if (verb === "scaled" && change.amount) {
        const factor = values.fraction(change.amount.value, dimension.number, "the factor");
        if (factor) steps.push((wave) => scaled(wave, factor));
      } else if ((verb === "stops" || verb === "starts") && change.at) {
        const at = time();
        if (at) steps.push((wave) => gated(wave, verb === "stops" ? { stops: at } : { starts: at }));
      } else this.refuse(change, "a signal or supply", "stops at, starts at, scaled, dead, is or open");
    }
    return { apply: (wave) => steps.reduce((w, step) => step(w), wave), ...found };
  }

  /** The waveform that `is` gives to a signal, found without taking the change. */
  wave(name: string): Waveform | undefined {
    return this.byTarget.get(name)?.findLast((change) => change.verb.text === "is" && change.wave)?.wave;
  }

  /** Reports the changes whose target was never met. */
  finish(names: readonly string[]): void {
    for (const [target, changes] of this.byTarget) {
      if (this.met.has(target)) continue;
      const { span } = changes[0].target;
      reportName(
        this.report,
        "unknown-target",
        `nothing is called '${target}'`,
        { text: target, span },
        names,
      );
    }
  }

  private take(name: string): readonly Change[] {
    const changes = this.byTarget.get(name) ?? [];
    if (changes.length > 0) this.met.add(name);
    return changes;
  }

  private refuse(change: Change, what: string, may: string): void {
    this.report.error(
      "change-form",
      `${what} cannot be changed by '${change.verb.text}' like this`,
      change.span,
      {
        hint: `it can be: ${may}`,
      },
    );
  }
}
