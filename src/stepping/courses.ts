// Straight systems and pieces by combination of modes, made when first asked for: shared by the march of a run and by
// whoever looks inside its leaps afterwards.
import type { Combination } from "../equations/system.js";
import type { Clock } from "./clock.js";
import type { Inputs } from "./inputs.js";
import { Motion } from "./motion.js";
import { Pieces } from "./pieces.js";

/** How one combination moves. */
export interface Course {
  readonly motion: Motion;
  readonly pieces: Pieces;
}

/** The courses of one run. */
export class Courses {
  private readonly made: Course[] = [];

  /**
   * @param inputs asked for the frequencies of carriers only
   */
  constructor(
    private readonly inputs: Inputs,
    private readonly clock: Clock,
  ) {}

  of(at: Combination): Course {
    let course = this.made[at.index];
    if (!course) {
      const motion = new Motion(at.equations, this.inputs);
      course = { motion, pieces: new Pieces(motion, this.clock) };
      this.made[at.index] = course;
    }
    return course;
  }

  /** States of which a leap has lost digits, see `Pieces.doubtful`. */
  get doubtful(): Set<number> {
    return new Set(this.made.flatMap((course) => [...(course?.pieces.doubtful ?? [])]));
  }

  /** Matrices made. */
  get matrices(): number {
    return this.made.reduce((sum, course) => sum + (course?.pieces.size ?? 0), 0);
  }
}
