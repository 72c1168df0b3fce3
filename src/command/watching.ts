// Watching: something is done again whenever one of the files that it hangs on is saved. Folders are watched, not files, since editors
// put a new file in the place of the old one; what has changed is told by size, time and number of each file, so that a wake for
// nothing does nothing, and a file that was not there counts as well as one that was.
import { type FSWatcher, statSync, watch } from "node:fs";
import { dirname } from "node:path";

/** For so long the saving of a file is waited for, ms: an editor may empty it first. */
const settling = 20;

/** What ends a watch. */
const endings = ["SIGINT", "SIGTERM", "SIGHUP"] as const;

/** A round of what is done again and again. */
export interface Round {
  /** A file has changed meanwhile, or the end has come: what is under way is of no use any more. */
  readonly stop: AbortSignal;
  /** To be told of each file that the round hangs on, before it is read. */
  asking(file: string): void;
}

/**
 * Does something, and again after each change of the files that it hangs on, until the process is told to end.
 * @param files what it hangs on whatever comes of it
 * @param idle told after each round how many files are watched
 */
export async function watching(
  files: readonly string[],
  action: (round: Round) => Promise<void>,
  idle: (watched: number) => void,
): Promise<void> {
  const folders = new Map<string, FSWatcher>();
  // Each file as it was before it was read.
  const known = new Map<string, string>();
  let over = false;
  let round = new AbortController();
  let wake: () => void = () => undefined;
  const heard = () => {
    over = true;
    round.abort();
    wake();
  };
  const near = (file: string) => follow(folders, dirname(file), () => setTimeout(look, settling));
  const look = () => {
    // A folder may have come in between.
    for (const file of known.keys()) near(file);
    if (![...known].some(([file, before]) => signature(file) !== before)) return;
    round.abort();
    wake();
  };
  const asking = (file: string) => {
    if (known.has(file)) return;
    near(file);
    known.set(file, signature(file));
  };
  for (const ending of endings) process.on(ending, heard);
  try {
    while (!over) {
      round = new AbortController();
      known.clear();
      for (const file of files) asking(file);
      await action({ stop: round.signal, asking });
      if (over) break;
      const changed = new Promise<void>((resolve) => {
        wake = resolve;
      });
      look();
      if (!round.signal.aborted) idle(known.size);
      await changed;
    }
  } finally {
    for (const ending of endings) process.removeListener(ending, heard);
    for (const one of folders.values()) one.close();
  }
}

// A folder that is not there yet is waited for in the one above it.
function follow(folders: Map<string, FSWatcher>, folder: string, told: () => void): void {
  if (folders.has(folder)) return;
  try {
    const watcher = watch(folder, told);
    folders.set(folder, watcher);
    // A folder that goes is followed anew when it comes back.
    watcher.on("error", () => folders.delete(folder));
  } catch {
    if (dirname(folder) !== folder) follow(folders, dirname(folder), told);
  }
}

function signature(file: string): string {
  const found = statSync(file, { throwIfNoEntry: false, bigint: true });
  return found ? `${found.ino} ${found.size} ${found.mtimeNs}` : "";
}
