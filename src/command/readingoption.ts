// A reading as given to `--reading`: `peak of ramp 5.6 V`, `"peak of ramp" 5.6 V +- 50 mV in case "camera unplugged"`.
import { refuseOption } from "../base/asked.js";
import { unitOf } from "../base/dimension.js";
import { toNumber } from "../base/fraction.js";
import { readQuantity } from "../base/quantity.js";
import type { Reading } from "../diagnosis/readings.js";

const form = 'write it like: peak of ramp 5.6 V in case "camera unplugged"';
const figure = String.raw`[+-]?\d[\d.]*\S*(?:\s+[^\s\d+-]\S*)?`;
const whole = new RegExp(
  String.raw`^\s*(?:"([^"]*)"|([^"+±]*[^"+±\s]))\s+(${figure})(?:\s*(?:\+-|±)\s*(${figure}))?(?:\s+in\s+case\s+"([^"]*)")?\s*$`,
  "u",
);

export function readingFrom(text: string, name: string): Reading {
  const [, quoted, plain, value, off, where] = whole.exec(text) ?? [];
  const what = quoted ?? plain;
  if (what === undefined) return refuseOption(name, `'${text}' is no phrase with a figure behind it`, form);
  const read = readQuantity(value);
  if (!read.ok) return refuseOption(name, read.message, read.hint ?? form);
  const rest = { what, value, case: where };
  if (off === undefined) return rest;
  const within = readQuantity(off);
  if (!within.ok) return refuseOption(name, within.message, within.hint ?? form);
  const share = unitOf(within.value.dimension) === "" && unitOf(read.value.dimension) !== "";
  if (!share && unitOf(within.value.dimension) !== unitOf(read.value.dimension))
    return refuseOption(name, `'${off}' is in another unit than ${value}`, form);
  const size = toNumber(within.value.value) * (share ? Math.abs(toNumber(read.value.value)) : 1);
  return { ...rest, resolution: 2 * Math.abs(size) };
}
