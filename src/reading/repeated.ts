// A list with stretches that recur right after themselves: listed each time, stored once. Stretches do not overlap.

/** A stretch that recurs. */
interface Again {
  /** Where its second occurrence begins, and what follows its last, in the full list. */
  readonly second: number;
  readonly after: number;
  /** Where it is stored, and its length. */
  readonly first: number;
  readonly length: number;
  /** Ticks from one occurrence to the next. */
  readonly ticks: number;
}

/** Finds entries of such a list, quickest in their order. */
export class RepeatedList {
  private readonly all: Again[] = [];
  /** The stretch found last; −1 for none. */
  private at = -1;

  /** Length of the full list, for so many entries stored. */
  told(kept: number): number {
    const last = this.all.at(-1);
    return last ? last.after + kept - last.first - last.length : kept;
  }

  /** The entries stored from `first` up to `kept`, the end, recur so many times. */
  add(first: number, kept: number, times: number, ticks: number): void {
    const second = this.told(kept);
    const length = kept - first;
    if (length > 0) this.all.push({ second, after: second + times * length, first, length, ticks });
  }

  /** The index at which an entry is stored. */
  slot(told: number): number {
    const again = this.before(told);
    if (!again) return told;
    const { second, after, first, length } = again;
    return first + (told >= after ? told - after + length : (told - second) % length);
  }

  /** How many ticks later than its stored copy an entry is. */
  later(told: number): number {
    const again = this.before(told);
    if (!again || told >= again.after) return 0;
    return (Math.floor((told - again.second) / again.length) + 1) * again.ticks;
  }

  /** The last stretch whose second occurrence begins at or before an entry. */
  private before(told: number): Again | undefined {
    const { all } = this;
    if (this.at >= 0 && told < all[this.at].second) this.at = -1;
    while (this.at + 1 < all.length && told >= all[this.at + 1].second) this.at++;
    return this.at < 0 ? undefined : all[this.at];
  }
}
