// What was worked out from something that never changes is not worked out again: trials and cases of a design ask for the
// same patterns and instants by the thousand.
// Takes an object that never changes, and what else a result is made of; gives the result made for them, or one made before
// for the same. Always: the result is what it would be if it were made anew, so nothing kept changes a bit; of one object the
// last few results are kept, and with the object they go.

/** Results by an object and by what else they are made of. */
export class Recall<K extends object, By, T> {
  /** How many results were made. */
  made = 0;
  private readonly known = new WeakMap<K, { readonly by: By; readonly found: T }[]>();

  /**
   * @param same whether two results would be the same
   * @param kept how many results of one object are kept
   * @param worth whether a result is kept at all
   */
  constructor(
    private readonly same: (a: By, b: By) => boolean,
    private readonly kept = 4,
    private readonly worth: (found: T) => boolean = () => true,
  ) {}

  /** The result for an object. */
  of(key: K, by: By, make: () => T): T {
    const list = this.known.get(key);
    if (list)
      for (const one of list) {
        if (this.same(one.by, by)) return one.found;
      }
    const found = make();
    this.made++;
    if (!this.worth(found)) return found;
    if (!list) this.known.set(key, [{ by, found }]);
    else {
      list.unshift({ by, found });
      if (list.length > this.kept) list.pop();
    }
    return found;
  }
}
