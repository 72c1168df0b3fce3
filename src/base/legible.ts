// What is handed over may refuse to be looked at: a property that throws where it is read, a proxy that lets nobody in. Whoever
// handed it over is told so, as of everything else that makes no sense, and not by the words of what threw.
import { DesignError, refusal } from "./diagnostic.js";

/**
 * What a look at something handed over gives.
 * @param called what to call it
 * @throws DesignError `bad-option` where it cannot be looked at
 */
export function legible<T>(called: string, look: () => T): T {
  try {
    return look();
  } catch (error) {
    if (error instanceof DesignError) throw error;
    throw refusal("bad-option", `${called}: it throws where it is read`);
  }
}

/** How deep is looked beforehand: the items of a list, and what they hold. */
const depth = 2;

/** Reads a thing, what it holds and what that holds, once. @throws DesignError `bad-option` where something in it throws */
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
