// When outputs stood at their limits in a run, from the recorded modes: a limit touched for one leap counts. A run that keeps no
// samples (streamed, or stopped at its start) yields nothing.

import { toNumber } from "../base/fraction.js";
import { handed } from "../base/handed.js";
import type { Design } from "../design/design.js";
import type { LimitSide } from "../parts/contract.js";
import type { Run } from "./result.js";

/** An output at one of its limits. */
export interface Clipping {
  /** The part whose output it is, e.g. `gain.stage`. */
  readonly part: string;
  /** The place of the output. */
  readonly output: string;
  /** `both` where the rails leave no room. */
  readonly limit: LimitSide;
  /** When it first reaches the limit, s. */
  readonly begins: number;
  /** Total time there, s. */
  readonly lasts: number;
  /** How many times it reached the limit. */
  readonly times: number;
  /** The output against ground when it first reaches the limit, V. */
  readonly level: number;
  /**
   * Average picture level, 0 black to 1 white, of the frame that the design's (first) video signal sends at that
   * instant; absent where there is none.
   */
  readonly picture?: number;
}

interface Stay {
  begins: number;
  ticks: number;
  times: number;
}

/** A part whose output has limits. */
interface Limited {
  readonly part: number;
  /** The limit at which the output stands, by combination of modes. */
  readonly limits: readonly (LimitSide | undefined)[];
  readonly stays: Map<LimitSide, Stay>;
}

/**
 * Every limit at which an output of the run stood for any time, in the order of the design.
 *
 * @category Runs
 * @example
 * ```ts
 * const bright = simulate(readDesign("examples/board.ramp"), { case: "all white" });
 * clippings(bright).map(({ part, limit }) => `${part} ${limit}`); // ["gain.stage lower"]
 * ```
 */
export function clippings(run: Run): Clipping[] {
  handed("run", run);
  const { design, assembly } = run;
  const { clock, system } = assembly;
  const limited = system.members.flatMap(({ device, fault }, part): Limited[] => {
    if (!device.limit || fault) return [];
    const limits = system.combinations.map(({ modes }) => device.limit!(modes[part]));
    return limits.every((limit) => limit === undefined) ? [] : [{ part, limits, stays: new Map() }];
  });
  lookFor(run, limited);
  const rows = limited.flatMap(({ part, stays }) => {
    const { name, head } = design.parts[part];
    const output = design.places[head];
    return [...stays].map(([limit, stay]) => {
      const [begins, lasts] = [clock.time(stay.begins), clock.time(stay.ticks)];
      return {
        part: name,
        output,
        limit,
        begins,
        lasts,
        times: stay.times,
        picture: pictureAt(design, begins),
      };
    });
  });
  return rows.map((row) => {
    const [trace] = run.glimpses([row.output], [row.begins]);
    return { ...row, level: trace.at(row.begins) };
  });
}

/** Collects the stays of all these parts in one walk: a run may have millions of stretches. */
function lookFor({ recording }: Run, limited: readonly Limited[]): void {
  if (limited.length === 0) return;
  const last = limited.map((): LimitSide | undefined => undefined);
  for (const { index, from, to } of recording.stretches(0, Number.POSITIVE_INFINITY)) {
    const mode = recording.mode(index);
    for (let k = 0; k < limited.length; k++) {
      const { limits, stays } = limited[k];
      const limit = limits[mode];
      if (limit) {
        let stay = stays.get(limit);
        if (!stay) {
          stay = { begins: from, ticks: 0, times: 0 };
          stays.set(limit, stay);
        }
        stay.ticks += to - from;
        if (limit !== last[k]) stay.times++;
      }
      last[k] = limit;
    }
  }
}

/** The average picture level that a design's first video signal sends at an instant (s), while it sends. */
function pictureAt(design: Design, time: number): number | undefined {
  for (const { wave } of design.parts) {
    if (wave?.shape.kind !== "packed" || !wave.shape.picture) continue;
    const { frame, levels } = wave.shape.picture;
    const { starts, stops } = wave;
    if ((starts && time < toNumber(starts)) || (stops && time >= toNumber(stops))) return undefined;
    return levels[Math.floor(time / toNumber(frame)) % levels.length];
  }
  return undefined;
}
