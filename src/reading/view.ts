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
  /** Stretches of some length that overlap a span of ticks, in order, joined where nothing that is seen notices. */
  stretches(from: number, to: number): Iterable<Stretch>;
  /** The probe within a stretch. It is one object, which the next stretch uses again. */
  enter(stretch: Stretch): StretchView;
}

/** A leap that comes again, for whoever looks into it more quickly than by single looks. */
export interface RecurringLeap {
  readonly from: number;
  readonly to: number;
  readonly whole: LeapPart;
  /** How many forms there are, and what is seen of them; `plain` where it is one of them and nothing else. */
  readonly forms: number;
  readonly sights: readonly Sight[];
  readonly plain: boolean;
  /** z at its start. */
  readonly start: Float64Array;
}

/** A probe within a stretch. */
export interface StretchView {
  /** Set where it is such a stretch. */
  readonly opening?: LeapOpening;
  /** Set where it is such a leap, and what is seen are forms over its z. */
  readonly recurring?: RecurringLeap;
  /** Ticks in which the quickest carrier turns once; Infinity where none rings. */
  readonly turn: number;
  /** Where something that is seen has a corner. */
  readonly pieces: Pieces;
  /** Goes to a piece of it between two corners, the stretch itself where it has none. */
  piece(from: number, to: number): void;
  /**
   * What lies behind a tick of the piece, as a leap of a length that comes again; nothing where it is not known so. Asked for in the
   * order of time.
   */
  block(from: number, ticks: number): RecurringLeap | undefined;
  /** Looks at a tick of it, as it is reached (side 0) or left (1). @param sight which of what is seen, the first unless given */
  look(tick: number, side: 0 | 1, into: Seen, sight?: number): void;
  /**
   * The rounding of a look.
   * @param far with all that has come from where the stretch begins, which costs more
   */
  roundoff(tick: number, far: boolean, sight?: number): Roundoff;
  /** What rounding makes of a look by the states at either end alone, where something in between dies away that is very quick; else 0. */
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
