// Reads what commands a switch: two times, or a place and the levels at which the switch closes and opens.
import { dimension } from "../base/dimension.js";
import { zero } from "../base/fraction.js";
import type { Control } from "../parts/contract.js";
import type { Word } from "../syntax/tree.js";
import type { ControlWords } from "./properties.js";
import type { Scope } from "./scope.js";
import { pathText } from "./values.js";
import { reportName } from "./words.js";

/** Reads a control; undefined when something in it is wrong. */
export function readControl({ property: p, opens }: ControlWords, scope: Scope): Control | undefined {
  const { values } = scope;
  const { report } = scope.at;
  const value = p.value;
  if (value.type === "times") {
    const time = (e: typeof value.from) => e && values.fraction(e, dimension.time, "the time of a switch");
    const from = time(value.from) ?? zero;
    const to = time(value.to);
    // `before 0 s` is allowed: a plug that is not in.
    if (value.from && to && !to.gt(from))
      report.error("times-order", "the switch opens before it closes", p.span, {
        hint: "the time behind 'to' is the later one",
      });
    return { type: "times", from, to };
  }
  if (value.type !== "while") return undefined;
  const place = scope.existing(value.place);
  if (place === undefined) {
    unknownPlace(value.place, scope);
    return undefined;
  }
  const close = values.fraction(value.level, dimension.voltage, "the level of the control");
  if (!close) return undefined;
  const open = opens?.value ?? close;
  if (value.side === "above" ? open.gt(close) : open.lt(close)) {
    const [word, bound] = value.side === "above" ? ["above", "or below"] : ["below", "or above"];
    report.error("levels-order", `the switch would open ${word} the level at which it closes`, p.span, {
      hint: `set 'open' to the closing level ${bound} it`,
    });
  }
  return { type: "level", place, side: value.side, close, open };
}

/** Reports a place that does not exist, with the nearest that does. */
function unknownPlace(
  reference: { readonly path: readonly Word[]; readonly span: Word["span"] },
  scope: Scope,
): void {
  const name = pathText(reference);
  const known = () => [
    ...scope.at.places.names
      .filter((n) => n.startsWith(scope.prefix))
      .map((n) => n.slice(scope.prefix.length)),
    ...scope.joined.keys(),
  ];
  reportName(
    scope.at.report,
    "unknown-place",
    `no place is called '${name}'`,
    { text: name, span: reference.span },
    known,
  );
}
