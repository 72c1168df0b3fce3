// Errors that end a verb early, with one line and a status that scripts can rely on.

import type { Diagnostic } from "../base/diagnostic.js";

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

export type Status = (typeof status)[keyof typeof status];

/** Thrown to end a verb with one line and a status. */
export class EarlyEnd extends Error {
  /** @param code with `--json` the error is also printed as a diagnostic of this code */
  constructor(
    message: string,
    readonly exit: Status,
    readonly code?: string,
  ) {
    super(message);
  }

  /** The same as a diagnostic. */
  diagnostic(code: string): Diagnostic {
    return { code, severity: "error", message: this.message, span: { line: 1, column: 1, length: 0 } };
  }
}

/** Replaces a run's limits in a text by their options: `limits.steps` becomes `--steps`. */
export function asTyped(text: string): string {
  return text.replace(/\blimits\.(steps|bytes|seconds|periods)\b/g, "--$1");
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
