// A picture tube: the position and brightness of its beam follow from three voltages, and `src/tube/` makes the
// picture from them. It does not load the circuit: grid and yoke amplifiers are parts of their own, so it draws no
// current, and a place that only a tube watches still counts as unconnected. Its voltage is its drive.
import { dimension } from "../base/dimension.js";
import { toNumber } from "../base/fraction.js";
import type { Kind, PropertyWord } from "./contract.js";
import { amount, linear } from "./making.js";

/** Defaults of a tube's figures; volts, and plain numbers. */
export const usual = {
  /** Drive at which the beam is just dark. */
  cutoff: 0,
  /** ITU-R BT.470-6 assumes 2.2 for a receiver's tube. */
  gamma: 2.2,
  /** About two lines of 625 wide at half of its light (common practice, no source). */
  spot: 0.003,
  /** Width over height of the screen. */
  aspect: 4 / 3,
} as const;

const edge = (word: string, of: string): PropertyWord => ({
  word,
  takes: dimension.voltage,
  range: "any",
  required: true,
  summary: `voltage of '${of}' at which the beam stands at the ${word} edge`,
});

export const tube: Kind = {
  word: "tube",
  equations: [
    "i = 0; the beam stands at (v(`across`) − `left`)/(`right` − `left`) of the width and likewise down, its light is ((v − `cutoff`)/(`full` − `cutoff`)) to the power of `gamma`",
  ],
  summary: "a picture tube; from tail to head stands the drive, and it draws no current",
  properties: [
    { word: "across", takes: "place", required: true, summary: "the place that moves the beam sideways" },
    { word: "down", takes: "place", required: true, summary: "the place that moves it up and down" },
    // Required: a tube that fitted itself to its sweeps would hide that they are too small.
    edge("left", "across"),
    edge("right", "across"),
    edge("top", "down"),
    edge("bottom", "down"),
    {
      word: "full",
      takes: dimension.voltage,
      range: "any",
      required: true,
      summary: "drive at which it is white; below 'cutoff' for a tube that is driven at its cathode",
    },
    amount("cutoff", dimension.voltage, "any", "drive at which it is dark, 0 V unless given"),
    amount(
      "gamma",
      dimension.number,
      "positive",
      "power of the drive above cut-off that its light follows, 2.2 unless given",
    ),
    amount(
      "spot",
      dimension.number,
      "share",
      "width of the spot at half of its light, of the picture's height, 0.3 % unless given",
    ),
    amount("aspect", dimension.number, "positive", "width of the screen over its height, 4/3 unless given"),
  ],
  beam: ({ amounts, places }) => {
    const of = (word: string, otherwise = 0) => {
      const given = amounts.get(word);
      return given ? toNumber(given.value) : otherwise;
    };
    return {
      across: places.get("across")!,
      down: places.get("down")!,
      left: of("left"),
      right: of("right"),
      top: of("top"),
      bottom: of("bottom"),
      full: of("full"),
      cutoff: of("cutoff", usual.cutoff),
      gamma: of("gamma", usual.gamma),
      spot: of("spot", usual.spot),
      aspect: of("aspect", usual.aspect),
    };
  },
  make: () => linear(() => undefined),
};
