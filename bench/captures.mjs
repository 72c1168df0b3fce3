// Values fitted to a capture: `fit`. The samples come of the sweep's closed form, so that the engine is fitted to what it has not
// made.
import { compile, fit as fitted, readCapture } from "../out/bench/engine.mjs";
import { demand, timed } from "./kit.mjs";
import { line, lineText } from "./texts.mjs";

/** Three values of the line sweep to 100 000 samples of 8 bits over 6 ms: 93 periods. */
export function fit({ short }) {
  const count = short ? 10_000 : 100_000;
  const hidden = { ...line, hold: 14.2e-9, on: 6 };
  const capture = readCapture(samples(hidden, count), { name: "ramp.csv" });
  const design = compile(lineText);
  let found;
  const seconds = timed(() => {
    found = fitted(design, {
      values: ["timing", "charge", { name: "reset.on", from: "1 ohm", to: "100 ohm" }],
      captures: [{ capture, of: "ramp" }],
    });
  });
  demand(found.settled, "the fit did not come to rest");
  const [timing, charge, on] = found.values.map(({ value }) => value);
  // The ramp tells the quotient of charge and timing, and the fall the product of timing and resistance.
  const off = Math.max(
    Math.abs(charge / timing / (hidden.charge / hidden.hold) - 1),
    Math.abs((timing * on) / (hidden.hold * hidden.on) - 1),
  );
  demand(off < 0.02, `what was fitted is off by ${off}`);
  return { seconds, ratios: {}, values: { wall: seconds }, notes: { runs: found.runs, off, samples: count } };
}

/**
 * The ramp's closed form in its periodic state (Millman & Taub 1965): two exponentials that meet, rounded to 8 bits over 5 V.
 */
function samples({ hold, on, output, charge, rail, headroom, period, pulse }, count) {
  const closed = 1 / on + 1 / output;
  const towards = charge + (rail - headroom) / output;
  const [low, high] = [towards / closed, towards * output];
  const [fast, slow] = [hold / closed, hold * output];
  const [a, b] = [Math.exp(-pulse / fast), Math.exp(-(period - pulse) / slow)];
  const top = (high * (1 - b) + low * (1 - a) * b) / (1 - a * b);
  const bottom = low + (top - low) * a;
  const rows = Array.from({ length: count }, (_, k) => {
    const at = 9e-6 + k * 58e-9;
    const into = at - period * Math.floor(at / period);
    const v =
      into < pulse
        ? low + (top - low) * Math.exp(-into / fast)
        : high + (bottom - high) * Math.exp(-(into - pulse) / slow);
    return `${(k * 58e-9).toExponential(6)},${(Math.round((v / 5) * 256) * (5 / 256)).toFixed(5)}`;
  });
  return `Time (s),ramp (V)\n${rows.join("\n")}\n`;
}
