// Work in slices: it pauses now and then, so that whoever waits for it can do something else meanwhile. Its result does not
// depend on where it pauses.

/** Work that pauses where it yields and returns its result. */
export type Sliced<T> = Generator<void, T, void>;

/** The same work, with something to do after each pause. */
export function* heeding<T>(work: Sliced<T>, heed: () => void): Sliced<T> {
  for (;;) {
    const { done, value } = work.next();
    if (done) return value;
    yield;
    heed();
  }
}

/**
 * Does the work without pausing.
 * @returns its result
 */
export function atOnce<T>(work: Sliced<T>): T {
  for (;;) {
    const { done, value } = work.next();
    if (done) return value;
  }
}
