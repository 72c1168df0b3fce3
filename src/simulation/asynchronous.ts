// A run that lets others work: it goes on in short slices, and between them a timer gives everything else a turn, so that a
// page stays alive and a signal is heard. Slices change where the run yields, and nothing that it computes.
import { handed } from "../base/handed.js";
import type { Design } from "../design/design.js";
import type { Run } from "../reading/result.js";
import type { SimulateOptions } from "./options.js";
import { marching } from "./simulate.js";

/** Length of a slice, ms: a signal must be heard within 50. */
const slice = 12;

/**
 * Simulates a design as `simulate` does, to the same bits, and lets other work run in between. An abort of `signal` ends it
 * within about 50 ms; as with every run that ends early, what was computed is kept, with `status` "stopped" and `code`
 * "cancelled".
 *
 * @category Runs
 * @example
 * ```ts
 * const done = await simulateAsync(design, { progress: ({ time, until }) => console.log(time / until) });
 * done.status; // "complete"
 * const cut = await simulateAsync(design, { signal: AbortSignal.abort() });
 * cut.code; // "cancelled"
 * ```
 * @throws DesignError (the promise is rejected) for options that make no sense
 */
export async function simulateAsync(design: Design, options: SimulateOptions = {}): Promise<Run> {
  handed("design", design);
  let since = performance.now();
  const late = () => performance.now() - since >= slice;
  const work = marching(design, options, late);
  for (;;) {
    const { done, value } = work.next();
    if (done) return value;
    if (!late()) continue;
    await new Promise<void>((go) => {
      setTimeout(go, 0);
    });
    since = performance.now();
  }
}
