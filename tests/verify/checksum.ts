// One number for a fixed set of runs: the same bits on every machine and in every engine, because the march uses only
// + − × ÷ √, which IEEE 754 rounds in one way. FNV-1a (G. Fowler, L. C. Noll, K.-P. Vo, 1991; RFC 9923), 32 bits, over
// the little-endian bytes of every trace, twice with different beginnings.

/** What the runs need of the package. */
export interface Package {
  readonly compile: typeof import("../../src/index.js").compile;
  readonly simulate: typeof import("../../src/index.js").simulate;
}

type Options = Parameters<Package["simulate"]>[1];

const sweep = `
  supply plus12 = 12 V
  supply plus5 = 5 V
  signal gate = line sync of 625/50, 0 V to 5 V, edges 200 ns
  current feed plus12 -> ramp 1 mA, headroom 0.9 V, output 2 Mohm
  capacitor hold ramp -> ground 15 nF
  switch reset ramp -> ground closed while gate above 2.5 V, on 5 ohm
  diode guard ramp -> plus5 drop 0.6 V, on 10 ohm`;

/** Each run: a text, options, and the traces that are summed up. */
const runs: readonly (readonly [string, Options, readonly string[]])[] = [
  [sweep, { until: "1 ms" }, ["ramp", "reset.current", "feed.power"]],
  [sweep, { until: "0.3 ms", step: "100 ns", start: "rest", method: "tr-bdf2" }, ["ramp"]],
  [
    `signal mains = sine -10 V to 10 V, at 50 Hz, phase 33 deg
     diode charge mains -> bulk drop 0.6 V, on 0.5 ohm
     capacitor store bulk -> ground 100 uF
     inductor choke bulk -> smooth 0.5 H
     capacitor second smooth -> ground 47 uF
     resistor load smooth -> ground 1 kohm`,
    { until: "60 ms" },
    ["bulk", "smooth", "choke.current"],
  ],
  [
    `current feed ground -> ramp 1 mA
     capacitor hold ramp -> ground 1 uF
     switch reset ramp -> ground closed while ramp above 1 V`,
    { until: "20.5 ms", start: "rest" },
    ["ramp"],
  ],
  [
    `supply plus5 = 5 V
     switch up plus5 -> top closed while cap below 1 V, open 4 V
     resistor charge top -> cap 10 kohm
     capacitor hold cap -> ground 10 nF, starts 0.5 V
     switch down cap -> bottom closed while cap above 4 V, open 1 V
     resistor drain bottom -> ground 1 kohm`,
    { until: "1 ms" },
    ["cap", "drain.current"],
  ],
  [
    `signal video = composite sync of 525/59.94, 0 V to 0.3 V
     capacitor couple video -> a 10 uF
     resistor bias a -> ground 470 kohm
     resistor series a -> b 10 kohm
     capacitor stray b -> ground 100 pF`,
    { until: "2 ms" },
    ["a", "b"],
  ],
  [
    `supply plus12 = 12 V
     signal gate = pulse 0 V to 5 V, wide 40 us, every 100 us
     switch chop plus12 -> top closed while gate above 2.5 V
     diode freewheel ground -> top drop 0 V
     resistor loss top -> mid 2 ohm
     inductor coil mid -> ground 1 mH`,
    { until: "300 us", start: "settled" },
    ["coil.current", "top"],
  ],
  [
    [
      "signal drive = pulse 0 V to 1 V, wide 3 us, every 10 us",
      "resistor r0 drive -> n0 50 ohm",
      ...Array.from({ length: 40 }, (_, k) => `inductor l${k} n${k} -> n${k + 1} ${1 + (k % 3)} uH`),
      ...Array.from({ length: 41 }, (_, k) => `capacitor c${k} n${k} -> ground ${400 + k} pF`),
      "resistor end n40 -> ground 50 ohm",
    ].join("\n"),
    { until: "20 us", algebra: "sparse" },
    ["n0", "n20", "n40"],
  ],
  [
    `bring "shipped/gain"
     bring "shipped/chroma"
     bring "shipped/separator"
     supply plus5 = 5 V
     supply minus5 = -5 V
     signal camera = video of 625/50, colour bars
     resistor out camera -> jack 75 ohm
     resistor end jack -> ground 75 ohm
     use follower as buffer joins jack, plus5, minus5, clean
     use gain_stage as gain joins clean, plus5, minus5, bright
     use chroma_filter as filter joins clean, smooth
     use sync_separator as separator joins smooth, plus5, line_low, field_low`,
    { until: "100 us" },
    ["bright", "smooth", "line_low"],
  ],
];

/** Sixteen digits for all runs. */
export function checksum({ compile, simulate }: Package): string {
  const sums = [0x811c9dc5, 0x84222325];
  const bytes = new DataView(new ArrayBuffer(8));
  const take = (value: number) => {
    bytes.setFloat64(0, value, true);
    for (let k = 0; k < 8; k++) {
      const byte = bytes.getUint8(k);
      for (let s = 0; s < 2; s++) sums[s] = Math.imul(sums[s] ^ byte, 0x01000193);
    }
  };
  for (const [text, options, names] of runs) {
    const run = simulate(compile(text), options);
    if (run.status !== "complete") throw new Error(run.reason);
    for (const name of names) {
      const { time, value } = run.trace(name);
      take(time.length);
      time.forEach(take);
      value.forEach(take);
    }
  }
  return sums.map((s) => (s >>> 0).toString(16).padStart(8, "0")).join("");
}

/** What it must be; a change of the method changes it, a change of machine never does. */
export const expected = "4c526110975cfdf0";
