// What ends a verb early, and with which status.
// Always: one clear line on standard error, never a stack trace; a script can trust the status.

/** Exit statuses; they are part of the interface. */
export const status = {
  /** Everything passed or was written. */
  good: 0,
  /** A check fails (or, for `format --check`, the layout is not canonical). */
  fails: 1,
  /** The design, its file or the command line is wrong. */
  wrong: 2,
  /** The run could not be completed, or its result could not be written. */
  stopped: 3,
} as const;

/** Thrown by a verb to end with a line and a status. */
export class EarlyEnd extends Error {
  constructor(
    message: string,
    readonly exit: number,
  ) {
    super(message);
  }
}

const reasons: Readonly<Record<string, string>> = {
  ENOENT: "there is no such file or folder",
  EACCES: "permission is denied",
  EPERM: "permission is denied",
  EROFS: "the file system is read-only",
  EISDIR: "it is a folder",
  ENOTDIR: "a part of the path is not a folder",
  ENOSPC: "no space is left there",
  ENAMETOOLONG: "the name is too long",
  EDQUOT: "the quota is used up",
  EFBIG: "the file would be too large",
  ELOOP: "its links go in a circle",
  EMFILE: "too many files are open",
};

/** Why a file could not be read or written, in plain words. */
export function reasonOf(error: unknown): string {
  const code = (error as NodeJS.ErrnoException)?.code ?? "";
  return reasons[code] ?? (error instanceof Error ? (error.message.split("\n")[0] ?? "") : String(error));
}
