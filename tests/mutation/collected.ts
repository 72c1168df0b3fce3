// What the tests of a file get in place of the runner's own functions while mutants are tried: `describe` and `it` only collect,
// so that one test can be run alone, many times over, in one process. `expect` is the runner's own.
export { expect } from "vitest";

/** One test, not yet run. */
export interface Collected {
  readonly name: string;
  readonly run: () => unknown;
}

type Body = (...row: never[]) => unknown;
type Put = (name: string, body: Body) => void;

const collected: Collected[] = [];
const path: string[] = [];

/** The tests collected, in the order of the file. */
export const all = (): readonly Collected[] => collected;

// A row that is a list is spread over the parameters.
const each = (put: Put) => (rows: readonly unknown[]) => (name: string, body: Body) => {
  for (const [k, row] of rows.entries())
    put(`${name} #${k}`, () => body(...((Array.isArray(row) ? row : [row]) as never[])));
};

const group: Put = (name, body) => {
  path.push(name);
  body();
  path.pop();
};
// Options, such as a limit of time, may stand before the body.
const one = (name: string, options: Body | object, body = options as Body): void => {
  collected.push({ name: [...path, name].join(" > "), run: body as () => unknown });
};

/** Collects what its body holds. */
export const describe = Object.assign(group, { each: each(group) });
/** Collects a test. */
export const it = Object.assign(one, { each: each(one) });

/** The same by its other name. */
export const test = it;
