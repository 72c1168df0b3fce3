// Long work that Ctrl-C ends early. What is done is kept; a second Ctrl-C ends the process.
import type { Bar } from "./bar.js";

/** Does something; true if it was cancelled meanwhile. @param cancel called at once on Ctrl-C */
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
