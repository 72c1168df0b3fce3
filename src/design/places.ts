// The places of a design by their full names.
import type { Word } from "../syntax/tree.js";

/** All places of a design; ground is place 0. */
export class Places {
  readonly names: string[] = ["ground"];
  private readonly index = new Map<string, number>([["ground", 0]]);
  /** Where each place was first named. */
  readonly firstAt: (Word["span"] | undefined)[] = [undefined];

  /** The place of that name, made if new. */
  make(name: string, at: Word["span"]): number {
    const known = this.index.get(name);
    if (known !== undefined) return known;
    const made = this.names.length;
    this.names.push(name);
    this.index.set(name, made);
    this.firstAt.push(at);
    return made;
  }

  /** The place of that name, if there is one. */
  find(name: string): number | undefined {
    return this.index.get(name);
  }
}
