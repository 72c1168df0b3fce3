// Long work that Ctrl-C ends early. What was done is kept; a second Ctrl-C ends the process.
import type { Bar } from "./bar.js";

/** Does something; true where it was cancelled on the way. @param cancel called at once when it is */
export async function interruptible(
  bar: Bar,
  action: () => Promise<void>,
  cancel: () => void,
): Promise<boolean> {
  let cancelled = false;
  const heard = () => {
    cancelled = true;
    cancel();
  };
  for (const signal of ["SIGINT", "SIGTERM"] as const) process.once(signal, heard);
  try {
    await action();
  } finally {
    for (const signal of ["SIGINT", "SIGTERM"] as const) process.removeListener(signal, heard);
    bar.clear();
  }
  return cancelled;
}
