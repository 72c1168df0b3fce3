// A capacitor: i = dq/dt. Its voltage is a state of the circuit. A plain one has q = C v. One with a ceramic of high
// permittivity loses capacitance as the voltage grows, either way: v = q/C₀ + b q³, from the first two terms of a
// ferroelectric's free energy (A. F. Devonshire, Phil. Mag. 40, 1949; from memory), so that a constant current makes a cubic
// ramp. The loss L stated at a voltage V is that of the small-signal capacitance dq/dv there, which gives b: the curve is
// v/V = p + a p³ with p = q/(C₀ V).
//
// The curve is followed in straight pieces, whose neighbours meet on it in charge and voltage. Each lies as far beside it in
// its middle as any other, some 2e-5 of V, or up to 6e-5 where nearly all is lost: with v'' = 6 b q that makes corners at
// (k/n)^(2/3) of the largest charge. One more to either side of zero lets small signals see the stated capacitance. Beyond
// twice V the last slope stays.
import { dimension } from "../base/dimension.js";
import { toNumber } from "../base/fraction.js";
import type { Device, Guard, Kind, Resolved } from "./contract.js";
import { linear } from "./making.js";

/** How far a piece may lie beside the curve, in units of the voltage at which the loss is stated. */
const beside = 2e-5;
/** The most pieces to either side, but for one: modes are counted in a byte. */
const mostPieces = 120;
/** How far the curve is followed, in units of the voltage at which the loss is stated. */
const reach = 2;

/** Corners of the curve in the first quadrant, p and v/V, without the origin. */
interface Corners {
  readonly p: readonly number[];
  readonly y: readonly number[];
  /** The slope at the last one and beyond. */
  readonly last: number;
}

function cornersOf(loss: number): Corners {
  const rise = loss / (1 - loss);
  const at = 1 / (1 + rise / 3);
  const bend = rise / (3 * at * at);
  const volts = (p: number) => p + bend * p * p * p;
  // The largest charge, by Newton's method from above, where the curve bends upwards throughout.
  let most = reach;
  for (let k = 0; k < 60; k++) most -= (volts(most) - reach) / (1 + 3 * bend * most * most);
  // A chord of the width h lies v'' h²/8 above the curve.
  const n = Math.min(mostPieces, Math.ceil(Math.sqrt((bend * most * most * most) / (3 * beside))));
  const p = Array.from({ length: n }, (_, k) => most * twoThirds((k + 1) / n));
  p.unshift(p[0] / 3);
  return { p, y: p.map(volts), last: 1 + 3 * bend * most * most };
}

// x^(2/3) from sums, products and quotients alone, the same in every engine: the cube root by Newton's method from above.
function twoThirds(x: number): number {
  let root = 1;
  for (let k = 0; k < 40; k++) root -= (root * root * root - x) / (3 * root * root);
  return root * root;
}

export const capacitor: Kind = {
  word: "capacitor",
  equations: [
    "i = dq/dt, q = C · v",
    "with `loses`: v = q/C + b · q³, with b such that dq/dv has lost its share at its voltage; in straight pieces between corners on that curve, some 0.002 % of that voltage beside it (0.006 % where nearly all is lost), and straight on beyond twice the voltage",
  ],
  summary: "a capacitor",
  value: { dimension: dimension.capacitance, range: "positive" },
  stores: true,
  properties: [
    { word: "starts", takes: dimension.voltage, summary: "voltage at the start of the run" },
    {
      word: "loses",
      takes: dimension.number,
      range: "part",
      at: dimension.voltage,
      summary: "share of its capacitance that is lost at a voltage, either way: `loses 20 % at 5 V`",
    },
    {
      word: "settled",
      takes: "nothing",
      summary:
        "a steady start finds it where it stands with every signal at its mean, unless `starts` is other than 0 V",
    },
  ],
  // A voltage that the statement gives is not looked for.
  settles({ amounts, flags }) {
    const { n = 0n } = amounts.get("starts")?.value ?? {};
    return flags?.has("settled") === true && n === 0n;
  },
  make(part) {
    const { tail, head, value, amounts } = part;
    const farads = toNumber(value!);
    const given = amounts.get("starts");
    const starts = given && toNumber(given);
    const loses = amounts.get("loses");
    if (loses && loses.n !== 0n) return bent(part, farads, toNumber(loses), starts);
    return linear((into) => into.capacitor(tail, head, farads), starts);
  },
};

/** Modes are 0 around zero, 1 … n upwards and n + 1 … 2n downwards; the last piece either way has no end. */
function bent(
  { tail, head, amounts }: Resolved,
  farads: number,
  loss: number,
  initial: number | undefined,
): Device {
  const volts = toNumber(amounts.get("at")!);
  const { p, y, last } = cornersOf(loss);
  const n = p.length;
  const far = (mode: number) => (mode > n ? mode - n : mode);
  const side = (mode: number) => (mode > n ? -1 : 1);
  // Capacitance of each piece, and its charge and energy at 0 V, in units of C₀, C₀ V and C₀ V².
  const pieces = [{ share: p[0] / y[0], rest: 0, energy: 0 }];
  for (let k = 1; k <= n; k++) {
    const before = pieces[k - 1];
    const share = k === n ? 1 / last : (p[k] - p[k - 1]) / (y[k] - y[k - 1]);
    const v = y[k - 1];
    const energy = before.energy + ((before.share - share) * v * v) / 2;
    pieces.push({ share, rest: p[k - 1] - share * v, energy });
  }
  const across = { a: tail, b: head };
  const guard = (above: boolean, level: number, to: number): Guard => ({
    of: across,
    side: above ? "above" : "below",
    level: level * volts,
    to,
  });
  return {
    modes: Array.from({ length: 2 * n + 1 }, (_, mode) =>
      mode === 0 ? "around zero" : `piece ${far(mode)} ${side(mode) > 0 ? "upwards" : "downwards"}`,
    ),
    initial,
    remark: (mode) =>
      far(mode) === n
        ? `stands beyond ${reach} times the voltage at which its loss is given: its capacitance falls no further there`
        : undefined,
    stamp(mode, into) {
      const { share, rest, energy } = pieces[far(mode)];
      const charge = farads * volts;
      into.capacitor(tail, head, farads * share, side(mode) * charge * rest, charge * volts * energy);
    },
    guards(mode) {
      if (mode === 0) return [guard(true, y[0], 1), guard(false, -y[0], n + 1)];
      const [k, sign] = [far(mode), side(mode)];
      const inward = guard(sign < 0, sign * y[k - 1], k === 1 ? 0 : mode - 1);
      return k === n ? [inward] : [inward, guard(sign > 0, sign * y[k], mode + 1)];
    },
  };
}
