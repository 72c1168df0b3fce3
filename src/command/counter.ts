// How far a verb of many runs is, on a terminal.
// Takes an action that tells of each run; gives what the action gives. Always: nothing where standard error is no terminal,
// and nothing is left of the line when the action ends, however it ends.

/** Counts on one line of standard error while an action runs. */
export function counted<T>(action: (done: (words: string) => void) => T): T {
  const { stderr } = process;
  if (!stderr.isTTY) return action(() => undefined);
  try {
    return action((words) => stderr.write(`\r${words}\u001b[K`));
  } finally {
    stderr.write("\r\u001b[K");
  }
}
