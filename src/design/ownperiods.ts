// The times that a signal defines as values: its period, and for sync and video the line, the field and the frame. A current,
// a window or a limit written with them holds for any television system.
// They are expressions, not numbers: the period of a pulse may depend on values that depend on other signals' periods.
import type { Fraction } from "../base/fraction.js";
import { type Rates, rates, systems } from "../signals/sync.js";
import type { Expression, Waveform } from "../syntax/tree.js";

/** The times of a wave by the word after the signal's name: `period`, `line`, `field`, `frame`. */
export function ownPeriods(wave: Waveform): ReadonlyMap<string, Expression> {
  if (wave.type === "sync" || wave.type === "video") {
    const system = systems.find((s) => s === wave.system.text);
    return system ? ofSystem(wave, rates(system)) : new Map();
  }
  const said = (word: string): Expression | undefined => {
    const value = wave.properties.find((p) => p.word.text === word)?.value;
    return value?.type === "amount" ? value.amount.value : undefined;
  };
  const every = said("every");
  if (every) return new Map([["period", every]]);
  const at = wave.type === "sine" && said("at");
  return at ? new Map([["period", over(plain(1n, at.span), at)]]) : new Map();
}

function ofSystem(wave: Waveform & { type: "sync" | "video" }, { line, field }: Rates) {
  const times = { line, field, frame: field.mul(2) };
  const which = wave.type === "sync" ? wave.which.text : "composite";
  const period = which === "line" ? line : which === "field" ? field : times.frame;
  const { span } = wave;
  const seconds = ({ n, d }: Fraction) => over(plain(n, span, "s"), plain(d, span));
  return new Map(Object.entries({ ...times, period }).map(([word, time]) => [word, seconds(time)]));
}

const plain = (whole: bigint, span: Expression["span"], unit?: string): Expression => ({
  type: "number",
  digits: { text: `${whole}`, span },
  ...(unit && { unit: { text: unit, span } }),
  span,
});

const over = (left: Expression, right: Expression): Expression => ({
  type: "binary",
  operator: "/",
  left,
  right,
  span: right.span,
});
