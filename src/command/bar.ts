// A bar of progress on one line of standard error, drawn at most ten times a second. Where standard error is no terminal there is
// none, and nothing of the line is left when it is cleared.

/** Characters of the bar. */
const cells = 24;
/** Least time between two drawings, ms. */
const between = 100;

/** Draws on standard error. */
export class Bar {
  private readonly begun = performance.now();
  private drawn = 0;
  private shown = false;

  /** @param what e.g. `trials` */
  constructor(private readonly what: string) {}

  /** How far it is. */
  at(done: number, of?: number): void {
    if (!process.stderr.isTTY) return;
    const now = performance.now();
    if (now - this.drawn < between && done !== of) return;
    this.drawn = now;
    this.shown = true;
    process.stderr.write(`\r${line(done, of, this.what, (now - this.begun) / 1000)}\u001b[K`);
  }

  /** Takes it off the screen. */
  clear(): void {
    if (this.shown) process.stderr.write("\r\u001b[K");
    this.shown = false;
  }
}

/** Does something of many parts under a bar, which is gone when it ends, however it ends. */
export function watched<T>(what: string, action: (bar: Bar) => T): T {
  const bar = new Bar(what);
  try {
    return action(bar);
  } finally {
    bar.clear();
  }
}

/** The bar as text; where nobody knows of how many, the count alone. @param seconds since it began */
export function line(done: number, of: number | undefined, what: string, seconds: number): string {
  if (of === undefined) return `${done} ${what}`;
  const share = of > 0 ? done / of : 1;
  const full = Math.floor(share * cells);
  const bar = "#".repeat(full) + ".".repeat(cells - full);
  const left =
    done > 0 && done < of && seconds > 1 ? `, about ${duration((seconds / done) * (of - done))} left` : "";
  return `${bar} ${done} of ${of} ${what}${left}`;
}

function duration(seconds: number): string {
  if (seconds < 90) return `${Math.ceil(seconds)} s`;
  return seconds < 5400 ? `${Math.round(seconds / 60)} min` : `${Math.round(seconds / 3600)} h`;
}
