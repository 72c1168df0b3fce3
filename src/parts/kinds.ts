// The list of part kinds: adding one means one file and one line here.
import { amplifier } from "./amplifier.js";
import { bistable } from "./bistable.js";
import { capacitor } from "./capacitor.js";
import { comparator, inverter } from "./comparator.js";
import type { Kind } from "./contract.js";
import { coupling } from "./coupling.js";
import { currentKind } from "./current.js";
import { diode } from "./diode.js";
import { gate } from "./gate.js";
import { inductor } from "./inductor.js";
import { oneshot } from "./oneshot.js";
import { potentiometer } from "./potentiometer.js";
import { resistor } from "./resistor.js";
import { supply } from "./supply.js";
import { switchKind } from "./switch.js";
import { transistor } from "./transistor.js";
import { tube } from "./tube.js";
import { signal, voltageKind } from "./voltage.js";

/**
 * Every kind that a part statement may name.
 *
 * @category Parts and measures of your own
 * @example
 * ```ts
 * kinds.some(({ word }) => word === "capacitor"); // true
 * ```
 */
export const kinds: readonly Kind[] = [
  resistor,
  capacitor,
  inductor,
  coupling,
  diode,
  switchKind,
  currentKind,
  voltageKind,
  potentiometer,
  transistor,
  amplifier,
  comparator,
  inverter,
  oneshot,
  gate,
  bistable,
  tube,
];

export const statementKinds: readonly Kind[] = [supply, signal];
