// A progress bar on one line of standard error, drawn at most ten times a second. It is not drawn unless standard error is a
// terminal, and clearing it leaves nothing of the line.

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

  /** Shows the progress. */
  at(done: number, of?: number): void {
    if (!process.stderr.isTTY) return;
    const now = performance.now();
    if (now - this.drawn < between && done !== of) return;
    this.drawn = now;
    this.shown = true;
    process.stderr.write(`\r${line(done, of, this.what, (now - this.begun) / 1000)}\u001b[K`);
  }

  clear(): void {
    if (this.shown) process.stderr.write("\r\u001b[K");
    this.shown = false;
  }
}

/** Does something in many steps under a bar, which is cleared at the end, whether it succeeds or throws. */
export function watched<T>(what: string, action: (bar: Bar) => T): T {
  const bar = new Bar(what);
  try {
    return action(bar);
  } finally {
    bar.clear();
  }
}

/** The bar as text; if the total is unknown, only the count. @param seconds since the start */
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
