// The past beats of a march: a bit-exact record of the state it went on from at each, so that a beat which repeats an
// earlier one is recognised.
// Always: of several equal earlier beats the latest is found; beats before a permanent change of a source are never
// compared with those after it.
import type { SinkMark } from "./sink.js";

/** How many past beats are compared: a ring may repeat only after several. */
const mostBeats = 512;

/** The progress of a march at one beat. */
export interface Beat {
  readonly n: number;
  /** The last tick that was probed since the beat before. */
  readonly ahead: number;
  readonly steps: number;
  /** Instants settled, and state-dependent events. */
  readonly settled: number;
  readonly events: number;
  /** The position of the sink. */
  readonly mark: SinkMark;
}

/** The last beats, in a ring. */
export class Beats {
  private readonly beats: Beat[] = [];
  private readonly bits: Uint32Array[] = [];
  private readonly hashes = new Int32Array(mostBeats);
  /** Beats since the last `forget`. */
  private count = 0;
  /** The state that the march goes on from at the current beat, for it to write, and the bits of that. */
  readonly values: Float64Array;
  private readonly words: Uint32Array;

  /** @param size the number of values that a march goes on from */
  constructor(size: number) {
    this.values = new Float64Array(size);
    this.words = new Uint32Array(this.values.buffer);
  }

  /**
   * The last beat from which the march went on with exactly the `values` written now.
   * @param useable whether a beat may be used; the search ends at the first that may not
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

  /** The last tick probed in any beat after `since`. */
  ahead(since: Beat): number {
    let most = since.n;
    for (let k = this.count - 1; this.beats[k % mostBeats] !== since; k--)
      most = Math.max(most, this.beats[k % mostBeats].ahead);
    return most;
  }

  /** Remembers a beat with the `values` written now. */
  keep(beat: Beat): void {
    const at = this.count++ % mostBeats;
    this.beats[at] = beat;
    this.hashes[at] = hashOf(this.words);
    if (at < this.bits.length) this.bits[at].set(this.words);
    else this.bits.push(this.words.slice());
  }

  /** The oldest beat remembered. */
  get oldest(): Beat | undefined {
    return this.beats[this.count > mostBeats ? this.count % mostBeats : 0];
  }

  /** Forgets all beats. */
  forget(): void {
    this.count = 0;
    this.beats.length = 0;
  }
}

function alike(a: Uint32Array, b: Uint32Array): boolean {
  for (let i = 0; i < a.length; i++) if (a[i] !== b[i]) return false;
  return true;
}

/** FNV-1a hash over whole words (after G. Fowler, L. C. Noll, P. Vo). */
function hashOf(words: Uint32Array): number {
  let hash = 0x811c9dc5 | 0;
  for (let i = 0; i < words.length; i++) hash = Math.imul(hash ^ words[i], 0x01000193);
  return hash;
}
