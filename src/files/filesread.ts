// Files that a command was given to read. Nothing is written over them: a capture of the bench cannot be made again.
import { readFileSync, realpathSync } from "node:fs";

const taken = new Set<string>();

/** A file that is to be read, remembered as such behind its links; the path as it came. @throws as the file system does */
export function inputAt(path: string): string {
  taken.add(realpathSync(path));
  return path;
}

/** The bytes of a file, remembered as read; `-` is standard input. @throws as the file system does */
export function inputBytes(path: string): Buffer {
  return readFileSync(path === "-" ? 0 : inputAt(path));
}

/** Another command begins: it has read nothing yet. */
export function forgetInputs(): void {
  taken.clear();
}

/** Whether the file at this path behind all links was read. */
export function isInput(real: string): boolean {
  return taken.has(real);
}
