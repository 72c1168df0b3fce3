// A list of which stretches come again right behind themselves: told each time they come, kept once. Stretches do not overlap.

/** A stretch that comes again. */
interface Again {
  /** Where it comes for the second time, and where what follows begins, in the list as it is told. */
  readonly second: number;
  readonly after: number;
  /** Where it is kept, and how long it is. */
  readonly first: number;
  readonly length: number;
  /** By how many ticks it is later each time. */
  readonly ticks: number;
}

/** Finds entries of such a list, soonest in their order. */
export class RepeatedList {
  private readonly all: Again[] = [];
  /** The stretch found last; −1 before all. */
  private at = -1;

  /** How many entries are told, of so many that are kept. */
  told(kept: number): number {
    const last = this.all.at(-1);
    return last ? last.after + kept - last.first - last.length : kept;
  }

  /** The last entries, from one that is kept as number `first` up to `kept`, come again so many times. */
  add(first: number, kept: number, times: number, ticks: number): void {
    const second = this.told(kept);
    const length = kept - first;
    if (length > 0) this.all.push({ second, after: second + times * length, first, length, ticks });
  }

  /** The number under which an entry is kept. */
  slot(told: number): number {
    const again = this.before(told);
    if (!again) return told;
    const { second, after, first, length } = again;
    return first + (told >= after ? told - after + length : (told - second) % length);
  }

  /** How many ticks later than what is kept an entry stands. */
  later(told: number): number {
    const again = this.before(told);
    if (!again || told >= again.after) return 0;
    return (Math.floor((told - again.second) / again.length) + 1) * again.ticks;
  }

  /** The last stretch that has come again before or at an entry. */
  private before(told: number): Again | undefined {
    const { all } = this;
    if (this.at >= 0 && told < all[this.at].second) this.at = -1;
    while (this.at + 1 < all.length && told >= all[this.at + 1].second) this.at++;
    return this.at < 0 ? undefined : all[this.at];
  }
}
