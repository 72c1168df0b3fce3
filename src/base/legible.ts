// What a caller hands over may throw when it is read: a getter that throws, a revoked proxy. The caller then gets `bad-option`,
// as for anything else that makes no sense, rather than the error that was thrown.
import { DesignError, refusal } from "./diagnostic.js";

/**
 * The result of reading something that was handed over.
 * @param called its name in the diagnostic
 * @throws DesignError `bad-option` if reading it throws
 */
export function legible<T>(called: string, look: () => T): T {
  try {
    return look();
  } catch (error) {
    if (error instanceof DesignError) throw error;
    throw refusal("bad-option", `${called}: it throws where it is read`);
  }
}

/** How deep `readOnce` reads: the items of a list, and what they hold. */
const depth = 2;

/** Reads a thing two levels deep, once. @throws DesignError `bad-option` if anything in it throws */
export function readOnce(called: string, given: unknown): void {
  legible(called, () => look(given, depth));
}

function look(given: unknown, left: number): void {
  if (typeof given !== "object" || given === null || ArrayBuffer.isView(given)) return;
  if (Array.isArray(given)) {
    for (let i = 0; i < given.length; i++) if (left > 0) look(given[i], left - 1);
    return;
  }
  for (const name of Object.keys(given)) {
    const value = (given as Readonly<Record<string, unknown>>)[name];
    if (left > 0) look(value, left - 1);
  }
}
