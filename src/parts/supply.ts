// A rail: a place held at a constant voltage to ground. Without properties it is ideal: it delivers and sinks any current.
// With `sinks` it takes no more than that of what is pushed into it against its own direction, as a regulator does: beyond
// that it lets go, and the place rises (a negative rail falls) as far as the rest of the circuit lets it. With `limit` it
// delivers no more than that. `output` is the resistance that its current flows through.
import { dimension } from "../base/dimension.js";
import { toNumber } from "../base/fraction.js";
import type { Guard, Kind } from "./contract.js";
import { amount, amountOf, linear } from "./making.js";
import { voltageKind } from "./voltage.js";

const holding = 0;
const letGo = 1;
const limited = 2;
// The element that carries the current into the rail, in the order of stamping.
const series = 1;

/** The flag of a rail whose written value is below ground, whatever value a case gives it. */
export const belowGround = "below ground";

export const supply: Kind = {
  ...voltageKind,
  word: "supply",
  equations: [
    "holding: v = V + `output` · i, while i is not above `sinks` and −i not above `limit`",
    "let go: i = `sinks`, while v is not below V + `output` · `sinks`",
    "at its limit: −i = `limit`, while v is not above V − `output` · `limit`",
    "below ground all of it is upside down",
  ],
  summary: "a rail",
  ownPlace: true,
  fails: ["dead", "open", "low"],
  // With any property it has a resistance, or lets go.
  ideal: ({ amounts }) => (amounts.size === 0 ? "voltage" : undefined),
  rail: ({ amounts, flags }) => ({
    below: flags?.has(belowGround) === true,
    sinks: amounts.get("sinks")?.value,
  }),
  properties: [
    amount(
      "sinks",
      dimension.current,
      "not negative",
      "the most that it takes of what is pushed into it, whatever comes unless given",
    ),
    amount("output", dimension.resistance, "not negative", "its output resistance, 0 ohm unless given"),
    amount(
      "limit",
      dimension.current,
      "positive",
      "the most that it delivers, whatever is asked for unless given",
    ),
  ],
  make(part) {
    const { tail, value, level, amounts, flags, inner } = part;
    const volts = level ?? toNumber(value!);
    if (amounts.size === 0) return linear((into) => into.hold(tail, 0, volts));
    const ohms = amountOf(part, "output", 0);
    const sinks = amountOf(part, "sinks", Number.POSITIVE_INFINITY);
    const limit = amountOf(part, "limit", Number.POSITIVE_INFINITY);
    // Against its own direction: into a rail above ground, out of one below it.
    const sign = flags.has(belowGround) ? -1 : 1;
    const [against, along] = sign > 0 ? (["above", "below"] as const) : (["below", "above"] as const);
    const source = inner();
    const across = { a: tail, b: source };
    return {
      modes: ["holding", "let go", "at its limit"],
      remark: (mode) =>
        mode === letGo ? "lets go of its rail: more is pushed into it than it sinks" : undefined,
      stamp(mode, into) {
        into.hold(source, 0, volts);
        if (mode === holding) into.resistor(tail, source, ohms);
        else if (mode === limited) into.push(tail, source, -sign * limit);
        else if (sinks > 0) into.push(tail, source, sign * sinks);
      },
      guards(mode) {
        if (mode === letGo) return [{ of: across, side: along, level: sign * sinks * ohms, to: holding }];
        if (mode === limited)
          return [{ of: across, side: against, level: -sign * limit * ohms, to: holding }];
        const found: Guard[] = [];
        const through = { element: series };
        if (Number.isFinite(sinks))
          found.push({ of: through, side: against, level: sign * sinks, to: letGo });
        if (Number.isFinite(limit))
          found.push({ of: through, side: along, level: -sign * limit, to: limited });
        return found;
      },
    };
  },
};
