// What memory is held once the rubbish is gone, for tests that bound it.
import { setFlagsFromString } from "node:v8";
import { runInNewContext } from "node:vm";

setFlagsFromString("--expose-gc");
const collect = runInNewContext("gc") as () => void;

/** Bytes of this thread's heap and of its array buffers. A collection frees buffers beside the program and ends before the
 * next one begins: so it is asked until two readings in a row agree, a few times at most. */
export const kept = () => {
  const read = () => {
    collect();
    const { heapUsed, arrayBuffers } = process.memoryUsage();
    return { heap: heapUsed, buffers: arrayBuffers };
  };
  let last = read();
  for (let k = 0; k < 10; k += 1) {
    const next = read();
    if (next.buffers === last.buffers) return next;
    last = next;
  }
  return last;
};
