// Work in slices: it may rest now and then, so that whoever waits for it can do something else meanwhile. What it comes to
// does not depend on where it rests.

/** Work that rests where it yields; what it comes to is what it returns. */
export type Sliced<T> = Generator<void, T, void>;

/**
 * Does it in one go.
 * @returns what it comes to
 */
export function atOnce<T>(work: Sliced<T>): T {
  for (;;) {
    const { done, value } = work.next();
    if (done) return value;
  }
}
