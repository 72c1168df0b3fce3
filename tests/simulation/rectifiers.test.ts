// Rectifiers as builders draw them, values by chance with a fixed seed: bridges and single diodes with chokes, pi-filters,
// multipliers; diodes without a drop, of 0.7 V without a resistance, of 0.7 V with one, and mixed; the source stiff or not.
// Each runs from rest and from its steady start to the end, without a word of doubt, and no energy is lost from the account.
import { describe, expect, it } from "vitest";
import { balance, compile, simulate } from "../../src/index.js";
import { tries } from "../counts.js";
import { Chance } from "../verify/chance.js";

const starts = ["rest", "steady"] as const;

class Drawing {
  private readonly chance: Chance;
  private readonly mix: number;
  readonly stiff: boolean;

  constructor(seed: number) {
    this.chance = new Chance(seed);
    this.mix = this.chance.whole(0, 3);
    this.stiff = this.chance.happens(0.4);
  }

  size(low: number, high: number): string {
    return (low * (high / low) ** this.chance.share()).toExponential(2);
  }

  diode(name: string, way: string): string {
    const kind = this.mix === 3 ? this.chance.whole(0, 2) : this.mix;
    const words = ["drop 0 V", "drop 0.7 V", `drop 0.7 V, on ${this.size(0.02, 2)} ohm`];
    return `diode ${name} ${way} ${words[kind]}`;
  }

  happens(share: number): boolean {
    return this.chance.happens(share);
  }

  whole(low: number, high: number): number {
    return this.chance.whole(low, high);
  }
}

function bridge(seed: number, pi: boolean): string {
  const draw = new Drawing(seed);
  const one = draw.stiff ? "a" : "c";
  const lines = [
    `voltage mains a -> b sine -${draw.whole(5, 300)} V to ${draw.whole(5, 300)} V, at 50 Hz`,
    ...(draw.stiff ? [] : [`resistor rs a -> c ${draw.size(0.05, 20)} ohm`]),
    ...[`${one} -> p`, "b -> p", `n -> ${one}`, "n -> b"].map((way, k) => draw.diode(`d${k}`, way)),
    ...(pi ? [`capacitor first p -> n ${draw.size(1e-6, 2e-3)} F`] : []),
    `inductor choke p -> out ${draw.size(1e-4, 5)} H`,
    `capacitor store out -> n ${draw.size(1e-6, 2e-3)} F`,
    `resistor load out -> n ${draw.size(5, 5000)} ohm`,
  ];
  const ground = draw.happens(0.5) ? "n" : "b";
  return lines.join("\n").replaceAll(new RegExp(`\\b${ground}\\b(?! ohm)`, "g"), "ground");
}

function multiplier(seed: number): string {
  const draw = new Drawing(seed);
  const stages = draw.whole(2, 6);
  const lines = [`signal mains = sine -${draw.whole(5, 300)} V to ${draw.whole(5, 300)} V, at 50 Hz`];
  if (!draw.stiff) lines.push(`resistor rs mains -> in ${draw.size(0.1, 50)} ohm`);
  let [low, before] = ["ground", draw.stiff ? "mains" : "in"];
  for (let k = 0; k < stages; k++) {
    lines.push(
      `capacitor p${k} ${before} -> x${k} ${draw.size(1e-7, 1e-4)} F`,
      draw.diode(`u${k}`, `${low} -> x${k}`),
      draw.diode(`w${k}`, `x${k} -> y${k}`),
      `capacitor q${k} y${k} -> ${low} ${draw.size(1e-7, 1e-4)} F`,
    );
    [low, before] = [`y${k}`, `x${k}`];
  }
  lines.push(`resistor load ${low} -> ground ${draw.size(1e4, 1e7)} ohm`);
  return lines.join("\n");
}

function holds(text: string, until: string) {
  for (const start of starts) {
    const run = simulate(compile(text), { start, until });
    expect([start, run.status, run.reason, run.warnings]).toEqual([start, "complete", "", []]);
    expect(balance(run).energy).toBeLessThan(1e-6);
  }
}

const seeds = (count: number) => Array.from({ length: count }, (_, k) => k);

describe("values by chance", () => {
  it.each(seeds(tries(40)))("a bridge into a choke, %i", (seed) => holds(bridge(seed, false), "60 ms"));
  it.each(seeds(tries(40)))("a bridge into a pi-filter, %i", (seed) =>
    holds(bridge(1000 + seed, true), "60 ms"),
  );
  it.each(seeds(tries(16)))("a multiplier, %i", (seed) => holds(multiplier(seed), "40 ms"));
});

// An ideal bridge across a stiff source: when its current ends while the source goes through zero, two diodes block what the
// other two would short, and which of them ties the floating source down changes nothing.
describe("an ideal bridge at the instant at which its source goes through zero", () => {
  const text = (tail: string, drop: string, rest: string) => `voltage mains a -> b sine -${tail} Hz
diode d0 a -> p drop ${drop}
diode d1 b -> p drop ${drop}
diode d2 ground -> a drop ${drop}
diode d3 ground -> b drop ${drop}
${rest}
capacitor store out -> ground ${tail.includes("86") ? "50.5" : "1590"} uF`;
  it.each([
    [
      "into a choke",
      text(
        "18 V to 18 V, at 60",
        "0.7 V",
        "inductor choke p -> out 52.5 mH\nresistor load out -> ground 2.85 kohm",
      ),
    ],
    [
      "into a pi-filter",
      text(
        "86 V to 86 V, at 50",
        "0 V",
        "capacitor first p -> ground 867 uF\ninductor choke p -> out 566 mH\nresistor load out -> ground 55.1 ohm",
      ),
    ],
  ])("%s", (_, design) => {
    holds(design, "66.7 ms");
    const run = simulate(compile(design), { start: "settled", until: "60 ms" });
    expect([run.status, run.reason, run.warnings]).toEqual(["complete", "", []]);
  });
});

// What was refused once, each for a rounding taken for a voltage, a current or a choice.
describe("nothing but rounding", () => {
  it("is what a sine at zero leaves at a bridge whose choke has come to rest", () =>
    holds(
      `voltage mains a -> ground sine -117 V to 131 V, at 50 Hz
diode d0 a -> p drop 0 V
diode d1 ground -> p drop 0 V
diode d2 n -> a drop 0 V
diode d3 n -> ground drop 0 V
inductor choke p -> out 73.1 mH
capacitor store out -> n 161 uF
resistor load out -> n 631 ohm`,
      "60 ms",
    ));
  it("is the current of a source's slope that holds no diode of a stiff bridge closed at the start", () =>
    holds(
      `voltage mains a -> b sine -230 V to 228 V, at 50 Hz
diode d0 a -> p drop 0 V
diode d1 b -> p drop 0 V
diode d2 ground -> a drop 0 V
diode d3 ground -> b drop 0 V
capacitor first p -> ground 72.5 uF
inductor choke p -> out 469 mH
capacitor store out -> ground 9.65 uF
resistor load out -> ground 1.97 kohm`,
      "60 ms",
    ));
  it("is where a floating filter hangs while its bridge blocks at the start", () =>
    holds(
      `voltage mains a -> ground sine -179 V to 177 V, at 50 Hz
resistor rs a -> c 92.6 mohm
diode d0 c -> p drop 0.7 V
diode d1 ground -> p drop 0.7 V
diode d2 n -> c drop 0.7 V
diode d3 n -> ground drop 0.7 V
inductor choke p -> out 418 mH
capacitor store out -> n 7.4 uF
resistor load out -> n 171 ohm`,
      "60 ms",
    ));
  // Capacitors between 0.1 and 100 uF in one multiplier: hundreds of amperes balance in some that stand at zero, and at the
  // start diodes without current could hold charges that nothing has brought there.
  const stages = (values: readonly string[]) =>
    values.map((line, k) => {
      const [p, u, w, q] = line.split(";");
      const [before, low] = k === 0 ? ["in", "ground"] : [`x${k - 1}`, `y${k - 1}`];
      return `capacitor p${k} ${before} -> x${k} ${p} F
diode u${k} ${low} -> x${k} ${u}
diode w${k} x${k} -> y${k} ${w}
capacitor q${k} y${k} -> ${low} ${q} F`;
    });
  const [ideal, firm] = ["drop 0 V", "drop 0.7 V"];
  const on = (ohms: number) => `${firm}, on ${ohms} ohm`;
  it.each([
    [
      "currents in balance",
      "-126 V to 296 V",
      "1.14",
      "538",
      [
        `0.145u;${ideal};${ideal};9.27u`,
        `0.203u;${ideal};${on(0.0331)};0.302u`,
        `0.383u;${on(0.111)};${firm};24.7u`,
        `6.57u;${ideal};${firm};6.57u`,
        `2.64u;${on(0.553)};${on(0.0525)};1.58u`,
      ],
    ],
    [
      "charges of no origin",
      "-14 V to 173 V",
      "24.9",
      "2120",
      [
        `0.929u;${firm};${firm};1.67u`,
        `53.6u;${firm};${firm};81.3u`,
        `1.8u;${firm};${firm};3.02u`,
        `62.1u;${firm};${firm};0.124u`,
        `19.8u;${firm};${firm};0.19u`,
      ],
    ],
    [
      "charges solved for, not marched to",
      "-141 V to 30 V",
      "19.9",
      "336",
      [
        `0.364u;${firm};${on(0.049)};0.777u`,
        `1.16u;${ideal};${ideal};2.83u`,
        `11.2u;${ideal};${on(0.139)};0.156u`,
        `0.614u;${ideal};${firm};11.3u`,
        `0.981u;${on(0.0469)};${firm};73.7u`,
      ],
    ],
  ] as const)("is what %s leave in a multiplier of five stages", (_, swing, source, load, values) => {
    const lines = stages(values).join("\n").replaceAll("u F", " uF");
    holds(
      `signal mains = sine ${swing}, at 50 Hz
resistor rs mains -> in ${source} ohm
${lines}
resistor load y4 -> ground ${load} kohm`,
      "40 ms",
    );
  });
});
