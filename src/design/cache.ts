// Caches what reading a statement gave, with the values it used: a design is read again and again with other values, and
// of a hundred parts one or two depend on what was set. A cached reading is used as long as every value that it looked up
// is still the same object; a statement with mistakes is read again.
import type { Report } from "../base/diagnostic.js";
import type { Amount, PartSpec, Settings } from "./design.js";
import { sameGraph } from "./structure.js";

/** The values that a reading looked up, by full name; undefined if none, as for most statements of a large text. */
type Looked = Map<string, Amount | undefined> | undefined;

/** The result of a reading, and the values that it looked up. */
interface Entry {
  readonly made: unknown;
  readonly read: Looked;
}

/** The sorts of things that are cached: a statement, or a piece of one. */
type Sort = "part" | "value" | "control" | "given" | "check" | "show" | "capture" | "run";

/** What the first reading of one case keeps for later ones. */
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
  /** True once the case has been read to its end without a mistake. */
  complete = false;
  /** The parts that it gave then. */
  parts: readonly PartSpec[] = [];
  /** How many statements were read, and how many taken from the cache. */
  readonly counts = { read: 0, recalled: 0 };

  /** Whether the parts are joined as they were when their structure was found sound. */
  sound(parts: readonly PartSpec[]): boolean {
    const { complete, parts: known } = this;
    return complete && parts.length === known.length && parts.every((p, i) => sameGraph(p, known[i]));
  }
}

/** One reading of one case. */
export class CachedReading {
  private readonly values = new Map<string, Amount | undefined>();
  /** Values looked up by the readings under way, each one inside the one before. */
  private readonly open: Looked[] = [];
  /** Names that were set, and names of parts with a property that was set. */
  private readonly set = new Set<string>();

  constructor(
    private readonly memory: StatementCache,
    private readonly report: Report,
    layers: readonly Settings[],
  ) {
    for (const name of layers.flatMap((layer) => [...layer.keys()]))
      this.set.add(name).add(name.slice(0, Math.max(0, name.lastIndexOf("."))));
  }

  /** Whether this case has not yet been read without mistakes. */
  get first(): boolean {
    return !this.memory.complete;
  }

  /** Notes a value that was looked up. */
  looked(full: string, amount: Amount | undefined): void {
    const { open } = this;
    for (let i = 0; i < open.length; i++) {
      open[i] ??= new Map();
      open[i]!.set(full, amount);
    }
  }

  /** Notes the value that a name has from now on. */
  stands(full: string, amount: Amount | undefined): void {
    this.values.set(full, amount);
  }

  /**
   * The result of reading something, from the cache if possible.
   * @param name its name among its sort
   * @param setting full name of the value or part whose setting changes it, if there can be one
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
