// What reading a statement gave, and with which values: a design is read again and again with other values, and of a
// hundred parts one or two are made of what was set. What was read is taken from here as long as every value that it looked
// up is the same object still; what was not read cleanly is read again.
import type { Report } from "../base/diagnostic.js";
import type { Amount, PartSpec, Settings } from "./design.js";
import { sameGraph } from "./structure.js";

/** Something that was read, and what it was made of. */
interface Entry {
  readonly made: unknown;
  /** Values by full name. */
  readonly read: Map<string, Amount | undefined>;
}

/** What the first reading of one case leaves to those that follow. */
export class StatementCache {
  readonly entries = new Map<string, Entry>();
  /** True once it has been read to its end, cleanly. */
  complete = false;
  /** What it came to then. */
  parts: readonly PartSpec[] = [];
  /** How many statements were read, and how many taken from here. */
  readonly counts = { read: 0, recalled: 0 };

  /** Whether parts are joined as they were when they were found sound. */
  sound(parts: readonly PartSpec[]): boolean {
    const { complete, parts: known } = this;
    return complete && parts.length === known.length && parts.every((p, i) => sameGraph(p, known[i]));
  }
}

/** One reading of one case. */
export class CachedReading {
  private readonly values = new Map<string, Amount | undefined>();
  /** What is being read, each within the one before. */
  private readonly open: Map<string, Amount | undefined>[] = [];
  /** Names that were set, and those of parts of which a property was. */
  private readonly set = new Set<string>();

  constructor(
    private readonly memory: StatementCache,
    private readonly report: Report,
    layers: readonly Settings[],
  ) {
    for (const name of layers.flatMap((layer) => [...layer.keys()]))
      this.set.add(name).add(name.slice(0, Math.max(0, name.lastIndexOf("."))));
  }

  /** Whether nothing has been read cleanly yet. */
  get first(): boolean {
    return !this.memory.complete;
  }

  /** A value that was looked up. */
  looked(full: string, amount: Amount | undefined): void {
    for (const read of this.open) read.set(full, amount);
  }

  /** A value that stands from now on. */
  stands(full: string, amount: Amount | undefined): void {
    this.values.set(full, amount);
  }

  /**
   * What reading something gives.
   * @param key what is read, a name of its own
   * @param name full name of the value or part, where it is one
   */
  of<T>(key: string, name: string | undefined, make: () => T): T {
    const { entries, complete, counts } = this.memory;
    const known = complete && !(name !== undefined && this.set.has(name)) ? entries.get(key) : undefined;
    if (known && this.same(known.read)) {
      for (const [full, amount] of known.read) this.looked(full, amount);
      counts.recalled++;
      return known.made as T;
    }
    counts.read++;
    const read = new Map<string, Amount | undefined>();
    const said = this.report.size;
    const made = this.within(read, make);
    if (!complete && made !== undefined && this.report.size === said) entries.set(key, { made, read });
    return made;
  }

  /** Ends the reading. */
  end(parts: readonly PartSpec[]): void {
    const { memory, report } = this;
    if (memory.complete || report.failed) return;
    memory.complete = true;
    memory.parts = parts;
  }

  private within<T>(read: Map<string, Amount | undefined>, make: () => T): T {
    this.open.push(read);
    try {
      return make();
    } finally {
      this.open.pop();
    }
  }

  private same(read: Entry["read"]): boolean {
    const { values } = this;
    for (const [full, amount] of read) if (!values.has(full) || values.get(full) !== amount) return false;
    return true;
  }
}
