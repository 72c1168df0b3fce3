// The list of part kinds: adding one means one file and one line here.
import { capacitor } from "./capacitor.js";
import type { Kind } from "./contract.js";
import { currentKind } from "./current.js";
import { diode } from "./diode.js";
import { inductor } from "./inductor.js";
import { potentiometer } from "./potentiometer.js";
import { resistor } from "./resistor.js";
import { switchKind } from "./switch.js";
import { voltageKind } from "./voltage.js";

/** Every kind that a part statement may name. */
export const kinds: readonly Kind[] = [
  resistor,
  capacitor,
  inductor,
  diode,
  switchKind,
  currentKind,
  voltageKind,
  potentiometer,
];

/** The kind of that word, if there is one. */
export function kindOf(word: string): Kind | undefined {
  return kinds.find((kind) => kind.word === word);
}
