// How many random circuits, texts and pieces of damage a property is tried on: all in the CI, a fifth at hand. Seeds are
// the same, so that what is tried at hand is the beginning of what the CI tries.

/** True in the CI. */
export const full = Boolean(process.env["CI"]);

/** So many tries of what the CI tries `all` times. */
export const tries = (all: number): number => (full ? all : Math.ceil(all / 5));
