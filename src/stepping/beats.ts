// The beats of a march that are remembered: what it went on from at each, bit for bit, so that one which stands as an
// earlier one is known.
// Always: of several earlier ones the last is found; nothing from before a change of a source for good is compared with
// what comes after it.
import type { SinkMark } from "./sink.js";

/** The most earlier beats that are compared: a ring may come back after several. */
const mostBeats = 512;

/** What a march has come to at one beat. */
export interface Beat {
  readonly n: number;
  /** The last tick that has been looked at since the beat before. */
  readonly ahead: number;
  readonly steps: number;
  /** Instants settled, and events that depended on the state. */
  readonly settled: number;
  readonly events: number;
  /** Where the samples stood. */
  readonly mark: SinkMark;
}

/** The last beats, in a ring. */
export class Beats {
  private readonly beats: Beat[] = [];
  private readonly bits: Uint32Array[] = [];
  private readonly hashes = new Int32Array(mostBeats);
  /** Beats since all were forgotten. */
  private count = 0;
  /** What a march goes on from at the beat in hand, to be written by it, and the bits of that. */
  readonly values: Float64Array;
  private readonly words: Uint32Array;

  /** @param size how many values a march goes on from */
  constructor(size: number) {
    this.values = new Float64Array(size);
    this.words = new Uint32Array(this.values.buffer);
  }

  /**
   * The last beat from which the march went on with the very `values` that are written now.
   * @param useable whether a beat will do; where it is not, those before it are not asked for
   */
  find(useable: (beat: Beat) => boolean, repeats: (beat: Beat) => boolean): Beat | undefined {
    const { words, hashes, beats, bits } = this;
    const hash = hashOf(words);
    for (let k = this.count - 1; k >= Math.max(0, this.count - mostBeats); k--) {
      const at = k % mostBeats;
      if (!useable(beats[at])) return undefined;
      if (hashes[at] === hash && repeats(beats[at]) && alike(bits[at], words)) return beats[at];
    }
    return undefined;
  }

  /** The last tick that has been looked at since a beat, up to the last one. */
  ahead(since: Beat): number {
    let most = since.n;
    for (let k = this.count - 1; this.beats[k % mostBeats] !== since; k--)
      most = Math.max(most, this.beats[k % mostBeats].ahead);
    return most;
  }

  /** Keeps a beat in mind, with the `values` that are written now. */
  keep(beat: Beat): void {
    const at = this.count++ % mostBeats;
    this.beats[at] = beat;
    this.hashes[at] = hashOf(this.words);
    if (at < this.bits.length) this.bits[at].set(this.words);
    else this.bits.push(this.words.slice());
  }

  /** The oldest beat in mind. */
  get oldest(): Beat | undefined {
    return this.beats[this.count > mostBeats ? this.count % mostBeats : 0];
  }

  /** Lets all beats go. */
  forget(): void {
    this.count = 0;
    this.beats.length = 0;
  }
}

function alike(a: Uint32Array, b: Uint32Array): boolean {
  for (let i = 0; i < a.length; i++) if (a[i] !== b[i]) return false;
  return true;
}

/** Of all words, each of which changes it (after G. Fowler, L. C. Noll, P. Vo). */
function hashOf(words: Uint32Array): number {
  let hash = 0x811c9dc5 | 0;
  for (let i = 0; i < words.length; i++) hash = Math.imul(hash ^ words[i], 0x01000193);
  return hash;
}
