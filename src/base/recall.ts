// Caches the last few results worked out from an immutable object for as long as the object lives: trials and cases of a design
// ask for the same patterns and instants by the thousand.

/** Results cached per object and per other inputs. */
export class Recall<K extends object, By, T> {
  /** How many results were made. */
  made = 0;
  private readonly known = new WeakMap<K, { readonly by: By; readonly found: T }[]>();

  /**
   * @param same whether two inputs give the same result
   * @param kept how many results are kept per object
   * @param worth whether a result is worth keeping
   */
  constructor(
    private readonly same: (a: By, b: By) => boolean,
    private readonly kept = 4,
    private readonly worth: (found: T) => boolean = () => true,
  ) {}

  /** The result for an object and other inputs, made unless it is cached. */
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
