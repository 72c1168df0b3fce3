// Watching: repeats something whenever one of the files it depends on is saved. Folders are watched, not files, since editors
// replace the old file with a new one. Changes are recognized by size, time and number of each file, so that a spurious event
// does nothing, and a file that did not exist counts too.
import { type FSWatcher, statSync, watch } from "node:fs";
import { dirname } from "node:path";

/** Time to wait after a change for the save to finish, ms: an editor may empty the file first. */
const settling = 20;

/** Signals that end a watch. */
const endings = ["SIGINT", "SIGTERM", "SIGHUP"] as const;

export interface Round {
  /** A file has changed or the end has come: the work under way is no longer needed. */
  readonly stop: AbortSignal;
  /** To be called with each file that the round depends on, before it is read. */
  asking(file: string): void;
}

/**
 * Does something, and repeats it after each change of the files that it depends on, until the process is told to end.
 * @param files files that it depends on in any case
 * @param idle called after each round with the number of files that are watched
 */
export async function watching(
  files: readonly string[],
  action: (round: Round) => Promise<void>,
  idle: (watched: number) => void,
): Promise<void> {
  const folders = new Map<string, FSWatcher>();
  // The state of each file just before it was read.
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
    // A missing folder may have appeared.
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

// A folder that does not exist yet is awaited in the one above it.
function follow(folders: Map<string, FSWatcher>, folder: string, told: () => void): void {
  if (folders.has(folder)) return;
  try {
    const watcher = watch(folder, told);
    folders.set(folder, watcher);
    // A folder that is deleted is watched again when it comes back.
    watcher.on("error", () => folders.delete(folder));
  } catch {
    if (dirname(folder) !== folder) follow(folders, dirname(folder), told);
  }
}

function signature(file: string): string {
  const found = statSync(file, { throwIfNoEntry: false, bigint: true });
  return found ? `${found.ino} ${found.size} ${found.mtimeNs}` : "";
}
