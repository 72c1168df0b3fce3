// The pieces of a stretch, each between two corners of what is read. They are found on demand: a stretch may be the whole run,
// with millions of corners.
import type { Inputs } from "../stepping/inputs.js";

const none: readonly number[] = [];

/** A span of ticks. */
interface Ticks {
  readonly from: number;
  readonly to: number;
}

/** The pieces of the stretch that was entered last. */
export class Pieces {
  private stretch: Ticks = { from: 0, to: 0 };
  private sources = none;
  private turns = none;

  constructor(private readonly inputs: Inputs | undefined) {}

  /** @param sources those (from 1) whose corners show @param turns other ticks at which what is read has a corner, in order */
  enter(stretch: Ticks, sources: readonly number[] = none, turns: readonly number[] = none): void {
    this.stretch = stretch;
    this.sources = sources;
    this.turns = turns;
  }

  /** Whether there may be more than one. */
  get several(): boolean {
    return this.sources.length > 0 || this.turns.length > 0;
  }

  /** Corners between two ticks, in order. */
  corners(from: number, to: number): readonly number[] {
    const { inputs, sources, turns } = this;
    return this.several ? inputs!.cornersBetween(sources, from, to, turns) : none;
  }

  /** The piece that holds a tick of the stretch; at a corner the later one. */
  around(tick: number): Ticks {
    const { inputs, sources, turns } = this;
    let { from, to } = this.stretch;
    for (const turn of turns) {
      if (turn <= tick) from = turn;
      else to = Math.min(to, turn);
    }
    for (const s of sources) {
      from = Math.max(from, inputs!.players[s - 1].last(tick));
      to = Math.min(to, inputs!.players[s - 1].next(tick));
    }
    return { from, to };
  }
}
