// How many random circuits, texts and pieces of damage a property is tried on: all in the CI, a fifth or less at hand. Seeds are
// the same, so that what is tried at hand is the beginning of what the CI tries.

/** True in the CI. */
export const full = Boolean(process.env["CI"]);

/** So many tries of what the CI tries `all` times: one in `share` at hand, fewer where each takes its time. */
export const tries = (all: number, share = 5): number => (full ? all : Math.ceil(all / share));
