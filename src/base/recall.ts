// Keeps the last few results that were worked out from an object that never changes, as long as the object lives: trials and
// cases of a design ask for the same patterns and instants by the thousand.

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
