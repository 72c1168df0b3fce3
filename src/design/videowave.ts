// Turns video as written into exact waves: the patterns by their words, what each takes, and pictures handed in by the caller.
// Waves are cached, so another case or a run with other values gets the one already made.
import type { Report } from "../base/diagnostic.js";
import { dimension } from "../base/dimension.js";
import { type Fraction, ratio, toNumber } from "../base/fraction.js";
import type { TestPattern } from "../signals/patterns.js";
import { systems } from "../signals/sync.js";
import { type VideoOptions, video } from "../signals/video.js";
import type { Wave } from "../signals/wave.js";
import type { Waveform } from "../syntax/tree.js";
import { reportName, type WaveWords, type Written } from "./words.js";

/** A picture as pixels. */
export interface Pixels {
  /** Pixels across. */
  readonly width: number;
  /** Pixels down. */
  readonly height: number;
  /** Luminance row by row from the top left: 0 to 1, or bytes 0 to 255; length width · height. */
  readonly data: Float64Array | Uint8Array;
}

/** Why an existing picture cannot be shown. */
export interface Unusable {
  /** In words that can follow "cannot be shown:". */
  readonly reason: string;
}

/** Gives the picture of a name, or why it cannot be shown; undefined if there is none. */
export type Pictures = (name: string) => Pixels | Unusable | undefined;

type VideoWaveform = Waveform & { type: "video" };

const share = { takes: dimension.number, range: "not negative" } as const;
const count = { takes: dimension.number, range: "positive" } as const;
const swinging: WaveWords = {
  low: { ...share, summary: "the one picture level, 0 % (black) unless given" },
  high: { ...share, summary: "the other, 100 % (white) unless given" },
};

/** The patterns of video, with the words that each takes besides those of all video. */
export const patterns: Readonly<Record<string, { readonly summary: string; readonly words: WaveWords }>> = {
  black: { summary: "nothing but black", words: {} },
  white: { summary: "nothing but white", words: {} },
  flat: {
    summary: "one grey all over",
    words: { level: { ...share, required: true, summary: "its level: 0 % black, 100 % white" } },
  },
  ramp: { summary: "from black on the left to white on the right", words: {} },
  bars: {
    summary: "upright bars, from white on the left down to black",
    words: { count: { ...count, summary: "how many, 8 unless given" } },
  },
  "colour bars": {
    summary: "the usual eight bars of 75 % amplitude, with burst and colour",
    words: { saturation: { ...share, summary: "size of their colour, 100 % unless given; the burst stays" } },
  },
  crosshatch: {
    summary: "white lines on black",
    words: {
      across: { ...count, summary: "how many upright lines, 17 unless given" },
      down: { ...count, summary: "how many level lines, 13 unless given" },
      circle: { takes: "nothing", summary: "a circle in the middle, nine tenths as high as the picture" },
    },
  },
  bounce: {
    summary: "the whole picture at one level for so many frames, then at another",
    words: { ...swinging, frames: { ...count, required: true, summary: "frames at each level" } },
  },
  fade: {
    summary: "the whole picture from one level to another in equal steps, one a frame, and back",
    words: { ...swinging, frames: { ...count, required: true, summary: "frames from the one to the other" } },
  },
  picture: { summary: 'a picture that the caller hands in, named in quotes: `picture "robin"`', words: {} },
};

export const videoWords: WaveWords = {
  setup: { ...share, summary: "black above blanking in 525 lines: 7.5 % of white, which is usual, or 0 %" },
  colour: { takes: "nothing", summary: "with burst, and colour where the pattern has any" },
  monochrome: { takes: "nothing", summary: "colour bars without burst and colour" },
  progressive: { takes: "nothing", summary: "all fields alike, of whole lines, as from simple sources" },
};

/** Every word of a video waveform: those of all video and those of its pattern. */
export function wordsOf(w: VideoWaveform): WaveWords {
  const own = Object.hasOwn(patterns, w.pattern.text) ? patterns[w.pattern.text].words : {};
  return { ...own, ...videoWords };
}

export class VideoWaves {
  private readonly made = new Map<string, Wave>();

  constructor(private readonly pictures?: Pictures) {}

  /** The wave, or undefined if something is wrong with it. Throws ShapeError. */
  read(w: VideoWaveform, { amounts, bare }: Written, report: Report): Wave | undefined {
    const system = systems.find((s) => s === w.system.text);
    if (!system)
      reportName(report, "unknown-system", `no system is called '${w.system.text}'`, w.system, systems);
    const pattern = this.pattern(w, amounts, bare, report);
    const setup = setupOf(amounts.get("setup"));
    if (setup === null)
      return report.error("no-setup", "the set-up of 525 lines is 7.5 % or 0 %", w.span, {
        hint: "write 'setup 7.5 %' or 'setup 0 %'",
      });
    if (bare.has("colour") && bare.has("monochrome"))
      return report.error("colour-twice", "this video is said to be in colour and monochrome", w.span, {
        hint: "delete one of the two words",
      });
    if (!system || !pattern) return undefined;
    const options: VideoOptions = {
      system,
      pattern,
      interlaced: !bare.has("progressive"),
      setup,
      ...(bare.has("colour") && { colour: true }),
      ...(bare.has("monochrome") && { colour: false }),
    };
    // In the key a picture is known by its name, since it may have many pixels.
    const { data: _, ...sketch } = pattern as { data?: unknown };
    const key = JSON.stringify([{ ...options, pattern: sketch }, w.picture?.text]);
    const wave = this.made.get(key) ?? video(options);
    this.made.set(key, wave);
    return wave;
  }

  private pattern(
    w: VideoWaveform,
    amounts: Written["amounts"],
    bare: Written["bare"],
    report: Report,
  ): TestPattern | undefined {
    const { pattern, picture } = w;
    const kind = pattern.text;
    const known = Object.keys(patterns);
    if (!known.includes(kind))
      return reportName(report, "unknown-pattern", `there is no pattern '${kind}'`, pattern, known);
    if (picture && kind !== "picture")
      return report.error("pattern-form", `'${kind}' takes no name in quotes`, picture.span, {
        hint: "only 'picture' does",
      });
    const level = (word: string, usual: number) => toNumber(amounts.get(word) ?? ratio(usual));
    const frames = level("frames", 1);
    const [from, to] = [level("low", 0), level("high", 1)];
    switch (kind) {
      case "flat":
        return { kind, level: level("level", 0) };
      case "bars":
        return { kind, count: level("count", 8) };
      case "crosshatch":
        return { kind, across: level("across", 17), down: level("down", 13), circle: bare.has("circle") };
      case "colour bars":
        return { kind, saturation: level("saturation", 1) };
      case "bounce":
      case "fade":
        return { kind, from, to, frames };
      case "picture":
        return this.handed(w, report);
      default:
        return { kind: kind as "black" | "white" | "ramp" };
    }
  }

  private handed({ pattern, picture }: VideoWaveform, report: Report): TestPattern | undefined {
    if (!picture)
      return report.error(
        "pattern-form",
        "'picture' needs the name of a picture in quotes behind it",
        pattern.span,
        {
          hint: "write 'picture \"bird.png\"'",
        },
      );
    const found = this.pictures?.(picture.text);
    if (found && "reason" in found) {
      const message = `the picture "${picture.text}" cannot be shown: ${found.reason}`;
      return report.error("unusable-picture", message, picture.span, {
        hint: "save it anew, or name another",
      });
    }
    if (found) return { kind: "pixels", width: found.width, height: found.height, data: found.data };
    return report.error("unknown-picture", `there is no picture "${picture.text}"`, picture.span, {
      hint: "who compiles the design hands its pictures in by name",
    });
  }
}

/** The set-up; undefined if none is given, null if it is neither of the two. */
function setupOf(said: Fraction | undefined): "7.5" | "0" | undefined | null {
  if (!said) return undefined;
  if (said.n === 0n) return "0";
  return said.equals(ratio(75, 1000)) ? "7.5" : null;
}
