// Random circuits that are hard to leap through: stiff beside slow, ringing, with diodes, comparators, inverters, switches
// steered by levels, current sources with headroom and amplifiers with limits. As a design text only; what they do is
// told by `walk.ts`.
import { Chance } from "./chance.js";

/** A circuit. */
export interface Wild {
  readonly text: string;
  /** Seconds. */
  readonly until: string;
}

/** A number on a logarithmic scale, to three digits. */
function spread(chance: Chance, low: number, high: number): number {
  return Number((low * (high / low) ** chance.share()).toPrecision(3));
}

/** Makes a circuit. */
export function wild(seed: number): Wild {
  const chance = new Chance(seed);
  const places = chance.whole(2, 6);
  const name = (p: number) => (p < 0 ? "ground" : `n${p}`);
  const any = () => chance.whole(0, places - 1);
  const two = () => {
    const a = any();
    let b = chance.whole(-1, places - 1);
    if (b === a) b = -1;
    return [name(a), name(b)] as const;
  };
  const number = (x: number) => x.toExponential();
  const lines = ["supply high = 12 V", "supply low = -12 V"];
  const swing = () => {
    const volts = chance.whole(1, 40) / 4;
    return `${-volts} V to ${volts} V`;
  };
  const until = spread(chance, 1e-4, 1e-2);
  const sources = chance.whole(1, 2);
  for (let s = 0; s < sources; s++) {
    const period = Number((until / chance.whole(2, 6)).toPrecision(2));
    const wave = chance.of([
      () => `sine ${swing()}, at ${Number((1 / period).toPrecision(2))} Hz`,
      () =>
        `pulse ${swing()}, wide ${number(period / 4)} s, every ${number(period)} s, edges ${number(period / chance.of([8, 100, 10000]))} s`,
      () =>
        `path 0 V at 0 s, ${chance.whole(-10, 10)} V at ${number(period / 2)} s, 0 V at ${number(period)} s, every ${number(period)} s`,
    ])();
    lines.push(`signal in${s} = ${wave}`);
  }
  // What couples the sources in.
  for (let s = 0; s < sources; s++)
    lines.push(`resistor feed${s} in${s} -> ${name(any())} ${number(spread(chance, 10, 1e5))} ohm`);
  for (let p = 0; p < places; p++) {
    // A leak everywhere: no place floats.
    lines.push(
      `resistor leak${p} ${name(p)} -> ${chance.happens(0.5) || p === 0 ? "ground" : name(p - 1)} ${number(spread(chance, 100, 1e7))} ohm`,
    );
    if (p > 0) lines.push(`resistor earth${p} ${name(p)} -> ground ${number(spread(chance, 1e3, 1e8))} ohm`);
    if (chance.happens(0.6))
      lines.push(
        `capacitor c${p} ${name(p)} -> ground ${number(spread(chance, 1e-12, 1e-6))} F, starts ${chance.whole(-8, 8)} V`,
      );
  }
  for (let k = chance.whole(0, 2); k > 0; k--) {
    const [a, b] = two();
    if (chance.happens(0.5)) lines.push(`inductor l${k} ${a} -> ${b} ${number(spread(chance, 1e-6, 1))} H`);
    else lines.push(`capacitor x${k} ${a} -> ${b} ${number(spread(chance, 1e-12, 1e-6))} F`);
  }
  if (chance.happens(0.4)) {
    // A ring of some Q.
    const [l, c] = [spread(chance, 1e-5, 1e-2), spread(chance, 1e-9, 1e-6)];
    const p = name(any());
    lines.push(`resistor damp ${p} -> tank ${number(spread(chance, 10, 1e5))} ohm`);
    lines.push(
      `inductor tankl tank -> ground ${number(l)} H`,
      `capacitor tankc tank -> ground ${number(c)} F`,
    );
    if (chance.happens(0.6))
      lines.push(
        `diode tankd tank -> ${chance.of(["ground", "high", p])} drop ${chance.whole(0, 20) / 10} V, on ${chance.whole(1, 100)} ohm`,
      );
  }
  const parts = chance.whole(1, 4);
  for (let k = 0; k < parts; k++) {
    const [a, b] = two();
    const level = () => chance.whole(-16, 16) / 4;
    const kind = chance.whole(0, 7);
    if (kind <= 2)
      lines.push(
        `diode d${k} ${a} -> ${b} drop ${chance.whole(0, 16) / 8} V, on ${chance.of([1, 10, 100, 1000])} ohm`,
      );
    else if (kind === 3) {
      const close = level();
      const above = chance.happens(0.5);
      const open = above ? close - chance.whole(1, 8) / 8 : close + chance.whole(1, 8) / 8;
      lines.push(
        `switch s${k} ${a} -> ${b} closed while ${name(any())} ${above ? "above" : "below"} ${close} V, open ${open} V, on ${chance.whole(1, 500)} ohm`,
      );
    } else if (kind === 4) {
      lines.push(
        `comparator k${k} ${name(any())} -> o${k} minus ${name(any())}, threshold ${level()} V, hysteresis ${chance.whole(1, 16) / 8} V${chance.happens(0.3) ? `, delay ${number(spread(chance, 1e-8, 1e-5))} s` : ""}`,
      );
      lines.push(`resistor ok${k} o${k} -> ${name(any())} ${number(spread(chance, 1e3, 1e6))} ohm`);
    } else if (kind === 5)
      lines.push(
        `current i${k} high -> ${name(any())} ${number(spread(chance, 1e-6, 1e-2))} A, headroom ${chance.whole(1, 8) / 4} V, output ${number(spread(chance, 1e5, 1e7))} ohm`,
      );
    else if (kind === 6) {
      const gain = chance.happens(0.5);
      lines.push(
        `amplifier a${k} ${name(any())} -> o${k}${gain ? ` minus o${k}` : ` minus m${k}`}, high high, low low, bandwidth ${number(spread(chance, 1e5, 1e7))} Hz${chance.happens(0.5) ? `, slew ${number(spread(chance, 1e4, 1e7))} V/s` : ""}, reach 1 V${chance.happens(0.3) ? ", limit 20 mA" : ""}`,
      );
      if (!gain)
        lines.push(
          `resistor am${k} o${k} -> m${k} 10 kohm`,
          `resistor ag${k} m${k} -> ground ${number(spread(chance, 1e3, 1e5))} ohm`,
        );
      lines.push(`resistor ok${k} o${k} -> ${name(any())} ${number(spread(chance, 1e3, 1e6))} ohm`);
    } else {
      lines.push(`inverter v${k} ${name(any())} -> o${k} hysteresis 0.5 V, threshold ${level()} V`);
      lines.push(`resistor ok${k} o${k} -> ${name(any())} ${number(spread(chance, 1e3, 1e6))} ohm`);
    }
  }
  return { text: lines.join("\n"), until: `${number(until)} s` };
}
