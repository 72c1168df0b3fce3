// What reading a statement gave, and with which values: a design is read again and again with other values, and of a
// hundred parts one or two are made of what was set. What was read is taken from here as long as every value that it looked
// up is the same object still; what was not read cleanly is read again.
import type { Report } from "../base/diagnostic.js";
import type { Amount, PartSpec, Settings } from "./design.js";
import { sameGraph } from "./structure.js";

/** What reading took of values, by full name; none where it looked up none, as most statements of a large text do. */
type Looked = Map<string, Amount | undefined> | undefined;

/** Something that was read, and what it was made of. */
interface Entry {
  readonly made: unknown;
  readonly read: Looked;
}

/** What is read as one, by its sort: a statement, or something of it. */
type Sort = "part" | "value" | "control" | "given" | "check" | "show" | "capture" | "run";

/** What the first reading of one case leaves to those that follow. */
export class StatementCache {
  readonly entries: Readonly<Record<Sort, Map<string, Entry>>> = {
    part: new Map(),
    value: new Map(),
    control: new Map(),
    given: new Map(),
    check: new Map(),
    show: new Map(),
    run: new Map(),
    capture: new Map(),
  };
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
  private readonly open: Looked[] = [];
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
    const { open } = this;
    for (let i = 0; i < open.length; i++) {
      open[i] ??= new Map();
      open[i]!.set(full, amount);
    }
  }

  /** A value that stands from now on. */
  stands(full: string, amount: Amount | undefined): void {
    this.values.set(full, amount);
  }

  /**
   * What reading something gives.
   * @param name its own among its sort
   * @param setting full name of the value or part that a setting of it changes, where one may
   */
  of<T>(sort: Sort, name: string, setting: string | undefined, make: () => T): T {
    const { entries, complete, counts } = this.memory;
    const own = entries[sort];
    const known = complete && !(setting !== undefined && this.set.has(setting)) ? own.get(name) : undefined;
    if (known && this.same(known.read)) {
      if (known.read) for (const [full, amount] of known.read) this.looked(full, amount);
      counts.recalled++;
      return known.made as T;
    }
    counts.read++;
    const said = this.report.size;
    const { open } = this;
    const depth = open.push(undefined);
    let made: T;
    let read: Looked;
    try {
      made = make();
    } finally {
      read = open[depth - 1];
      open.length = depth - 1;
    }
    if (!complete && made !== undefined && this.report.size === said) own.set(name, { made, read });
    return made;
  }

  /** Ends the reading. */
  end(parts: readonly PartSpec[]): void {
    const { memory, report } = this;
    if (memory.complete || report.failed) return;
    memory.complete = true;
    memory.parts = parts;
  }

  private same(read: Looked): boolean {
    if (!read) return true;
    const { values } = this;
    for (const [full, amount] of read) if (!values.has(full) || values.get(full) !== amount) return false;
    return true;
  }
}
