// Settings of the engine that runs the code, for the command alone: a library must leave them to its caller. None changes a result.
import { setFlagsFromString } from "node:v8";

/** Node versions known to have the flags that are set; another would complain on standard error. */
const knows = { from: 20, to: 24 };

/** Sets a flag of V8 for this process and the threads that it starts from now on. */
export function setFlag(flag: string): void {
  const major = Number.parseInt(process.versions.node, 10);
  if (major < knows.from || major > knows.to) return;
  try {
    setFlagsFromString(flag);
  } catch {
    // Engines of another make that run the code of Node have no such setting.
  }
}
