// One probe along a recording: its value and slope at any instant of a stretch between two samples.
import type { Assembly } from "../assembly/assemble.js";
import type { Seen } from "./accuracy.js";
import type { ProbeReader, Sight } from "./forms.js";
import type { LeapPart } from "./leapparts.js";
import type { LeapOpening } from "./leapplans.js";
import { Pieces } from "./pieces.js";
import { Playback } from "./playback.js";
import type { Recording, Stretch } from "./recording.js";
import { noRoundoff, type Roundoff } from "./roundoff.js";

/** A probe along a recording. */
export interface ProbeView {
  /** Stretches of nonzero length that overlap a span of ticks, in order, joined where the border does not touch the probe. */
  stretches(from: number, to: number): Iterable<Stretch>;
  /** The probe within a stretch. It is one object, reused by the next stretch. */
  enter(stretch: Stretch): StretchView;
}

/** A recurring leap, for readers that look into it faster than by single looks. */
export interface RecurringLeap {
  readonly from: number;
  readonly to: number;
  readonly whole: LeapPart;
  /** The number of forms, and what is read of them; `plain` where that is a single form. */
  readonly forms: number;
  readonly sights: readonly Sight[];
  readonly plain: boolean;
  /** z at its start. */
  readonly start: Float64Array;
}

/** A probe within a stretch. */
export interface StretchView {
  /** Set where a single form over z is read throughout. */
  readonly opening?: LeapOpening;
  /** Set where the stretch is a recurring leap, and forms over its z are read. */
  readonly recurring?: RecurringLeap;
  /** Ticks per turn of the quickest carrier; Infinity without one. */
  readonly turn: number;
  /** Where anything that is read has a corner. */
  readonly pieces: Pieces;
  /** Goes to a piece between two corners, or the whole stretch where it has none. */
  piece(from: number, to: number): void;
  /**
   * What follows a tick of the piece, as a leap of a recurring length; undefined where that is not possible. To be asked for in
   * order of time.
   */
  block(from: number, ticks: number): RecurringLeap | undefined;
  /** Looks at a tick, as it is reached (side 0) or left (1). @param sight index of what is read, the first unless given */
  look(tick: number, side: 0 | 1, into: Seen, sight?: number): void;
  /**
   * The rounding of a look.
   * @param far include all that has come from the start of the stretch, which costs more
   */
  roundoff(tick: number, far: boolean, sight?: number): Roundoff;
  /** Rounding of a look that uses the states at an end alone, where something very quick decays in between; else 0. */
  blur(sight?: number): number;
}

/** A probe along samples of steps: nothing is known between them. */
export class StepView implements ProbeView, StretchView {
  readonly turn = Number.POSITIVE_INFINITY;
  readonly pieces = new Pieces(undefined);
  private readonly playback: Playback;
  private stretch!: Stretch;

  constructor(
    private readonly assembly: Assembly,
    private readonly recording: Recording,
    private readonly read: ProbeReader,
  ) {
    this.playback = new Playback(assembly, recording);
  }

  stretches(from: number, to: number): Iterable<Stretch> {
    return this.recording.stretches(from, to);
  }

  enter(stretch: Stretch): this {
    this.stretch = stretch;
    this.pieces.enter(stretch);
    return this;
  }

  piece(): void {
    // A step is one piece.
  }

  block(): undefined {
    return undefined;
  }

  roundoff(): Roundoff {
    return noRoundoff;
  }

  blur(): number {
    return 0;
  }

  look(tick: number, side: 0 | 1, into: Seen, sight = 0): void {
    const { stretch, recording } = this;
    const { forms, sights } = this.read(this.assembly.system.combinations[recording.mode(stretch.index)]);
    const m = this.playback.at(stretch, tick, side);
    const seen = forms.map(({ states, x, constant, terms }) => {
      let [v, d] = [constant, 0];
      for (let k = 0; k < x.length; k++) {
        v += x[k] * m.x[states[k]];
        d += x[k] * m.dx[states[k]];
      }
      for (const { source, level, slope } of terms) {
        v += level * m.u[source] + slope * m.du[source];
        d += level * m.du[source] + slope * m.ddu[source];
      }
      return { v, d };
    });
    into.tick = tick;
    const which = sights[sight];
    into.value = which.length === 1 ? seen[which[0]].v : 0;
    into.slope = which.length === 1 ? seen[which[0]].d : 0;
    for (let k = 0; k + 1 < which.length; k += 2) {
      const [a, b] = [seen[which[k]], seen[which[k + 1]]];
      into.value += a.v * b.v;
      into.slope += a.d * b.v + a.v * b.d;
    }
  }
}
