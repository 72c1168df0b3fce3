// A list of which stretches come again: as it is told, each time they come, and as it is kept, once.
// Always: stretches do not overlap, and come again right behind themselves.

/** A stretch that comes again. */
interface Fold {
  /** Where it comes for the second time, and where what follows begins, in the list as it is told. */
  readonly again: number;
  readonly after: number;
  /** Where it is kept, and how long it is. */
  readonly first: number;
  readonly length: number;
  /** By how many ticks it is later each time. */
  readonly ticks: number;
}

/** Finds entries of such a list. */
export class RepeatedList {
  /** Where the entry last found is kept, and how many ticks later than there it stands. */
  slot = 0;
  later = 0;
  private readonly all: Fold[] = [];
  /** The fold at or before the entry last found; −1 before all. */
  private at = -1;

  /** Whether anything comes again. */
  get any(): boolean {
    return this.all.length > 0;
  }

  /** How many entries are told, of so many that are kept. */
  told(kept: number): number {
    const last = this.all[this.all.length - 1];
    return last ? last.after + kept - last.first - last.length : kept;
  }

  /** The last entries, from one that is kept as number `first` up to `kept`, come again so many times. */
  add(first: number, kept: number, times: number, ticks: number): void {
    const again = this.told(kept);
    const length = kept - first;
    if (length > 0) this.all.push({ again, after: again + times * length, first, length, ticks });
  }

  /** Finds an entry by its number in the list as it is told. */
  find(told: number): void {
    const { all } = this;
    if (this.at >= 0 && told < all[this.at].again) this.at = -1;
    while (this.at + 1 < all.length && told >= all[this.at + 1].again) this.at++;
    const fold = all[this.at];
    this.later = 0;
    if (!fold) this.slot = told;
    else if (told >= fold.after) this.slot = told - fold.after + fold.first + fold.length;
    else {
      const turn = Math.floor((told - fold.again) / fold.length);
      this.slot = fold.first + (told - fold.again) - turn * fold.length;
      this.later = (turn + 1) * fold.ticks;
    }
  }
}
