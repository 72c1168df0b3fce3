// A trace at many instants at once, in one walk along it.
import { Arc } from "../waveforms/arc.js";
import type { Trace } from "../waveforms/trace.js";

/** The values of a trace at rising instants, each shifted by `shift`; all must lie inside the trace. */
export function along(trace: Trace, time: Float64Array, shift: number): Float64Array {
  const found = new Float64Array(time.length);
  const arc = new Arc();
  let i = trace.index(time[0] + shift);
  let loaded = -1;
  for (let k = 0; k < time.length; k++) {
    const t = Math.min(Math.max(time[k] + shift, trace.from), trace.to);
    while (i + 1 < trace.time.length && trace.time[i + 1] <= t) i++;
    if (trace.time[i] === t) found[k] = trace.value[i];
    else {
      if (loaded !== i) arc.load(trace, i);
      loaded = i;
      found[k] = arc.value((t - arc.start) / arc.length);
    }
  }
  return found;
}
