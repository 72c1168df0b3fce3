// The interactive waveforms of a run: panels over one time axis, with two cursors through all of them. It fits into any element
// and needs nothing of the page around it, so that anything with a stack can show one.
import { engineering } from "../base/quantity.js";
import { visible } from "../report/markup.js";
import type { Decider, Stack, StackPeriods } from "../report/stack.js";
import { button, make } from "./dom.js";
import { Gestures } from "./gestures.js";
import { keyHelp, pressed } from "./keys.js";
import { type Paint, paintOf } from "./paint.js";
import { PanelRow } from "./panelrow.js";
import { type Cursors, footWords, seenWords, timeWords } from "./readout.js";
import { inside, longestStep, panned, type SeenSpan, zoomed } from "./seen.js";

/** Called when the first cursor moves or the curves under it change: the instant of the run, s, and what is shown. */
export type Moved = (at: number, stack: ShownStack) => void;

/** Most periods that are overlaid. */
const mostLaid = 100;

/** What is shown here of a stack; the deciders are for the page around it. */
export type ShownStack = Omit<Stack, "deciders">;

/** A stack on the screen. */
export class StackView {
  readonly element: HTMLElement;
  private readonly rows: PanelRow[];
  private readonly times = make("output", { class: "times", "aria-live": "polite" });
  private readonly shows = make("span", { class: "shows" });
  private readonly foot = make("p", { class: "foot" });
  private readonly choice: HTMLSelectElement;
  private readonly observer: ResizeObserver;
  private readonly sight: IntersectionObserver;
  private readonly ended = new AbortController();
  private seen: SeenSpan;
  private laid: StackPeriods | undefined = undefined;
  private cursors: Cursors = { first: undefined, second: undefined };
  private fitted = false;
  private inUse: PanelRow | undefined = undefined;
  private due = 0;
  private paint: Paint | undefined = undefined;

  constructor(
    private stack: ShownStack,
    private readonly moved: Moved = () => {},
  ) {
    this.seen = this.whole;
    this.choice = make("select", { "aria-label": "What is laid over each other" });
    this.offerPeriods();
    const marks = () => this.stack.marks.map(({ at }) => at);
    this.rows = stack.panels.map((panel) => new PanelRow(panel, this.whole, () => this.colours, marks));
    const words = `Waveforms: ${visible(stack.title)}. Arrow keys move the cursor, plus and minus zoom, Home shows all`;
    this.element = make(
      "div",
      { class: "stack", role: "application", tabindex: "0", "aria-label": words },
      make("div", { class: "tools" }, ...this.tools(), this.shows, this.times),
      ...this.rows.map(({ element }) => element),
      this.foot,
      this.chooser(),
      keyHelp(),
    );
    this.element.addEventListener("keydown", (event) => this.key(event));
    for (const row of this.rows) this.listen(row);
    this.observer = new ResizeObserver(() => this.fit());
    this.observer.observe(this.element);
    this.sight = new IntersectionObserver((entries) => this.see(entries), { rootMargin: "150px" });
    for (const { element } of this.rows) this.sight.observe(element);
    const { signal } = this.ended;
    const repaint = () => {
      this.paint = undefined;
      this.show(true);
    };
    // Paper is white whatever the screen is; and no animation frame comes while it is printed.
    for (const query of ["(prefers-color-scheme: dark)", "print"])
      matchMedia(query).addEventListener("change", repaint, { signal });
    this.choice.addEventListener("change", () => {
      this.lay(this.stack.periods[this.choice.selectedIndex - 1]);
      this.draw();
    });
  }

  /**
   * Shows another run of the same panels, keeping the view and the cursors.
   * @returns false if the panels differ, with nothing changed
   */
  replace(stack: ShownStack): boolean {
    const { panels } = stack;
    if (panels.length !== this.rows.length || !this.rows.every((row, i) => row.fits(panels[i]))) return false;
    const { from, to } = this.whole;
    const all = this.seen.from === from && this.seen.to === to;
    this.stack = stack;
    if (this.laid) this.laid = stack.periods.find(({ name }) => name === this.laid?.name);
    this.offerPeriods();
    this.seen = all ? this.whole : inside(this.seen, this.whole);
    for (const [i, row] of this.rows.entries()) row.replace(panels[i], this.whole);
    this.tell();
    this.draw();
    return true;
  }

  /** Shows what decided a check, with some margin, and puts the cursor at its instant. */
  jump({ panel, from, to, at }: Decider): void {
    this.lay(undefined);
    const air = (to - from) * 0.15;
    this.cursors = { first: at ?? from, second: at === undefined ? to : undefined };
    const row = this.rows.find(({ name }) => name === panel);
    if (row) {
      row.shown = true;
      this.use(row);
    }
    this.go({ from: from - air, to: to + air });
    this.fit();
    this.tell();
    (row?.element ?? this.element).scrollIntoView({ block: "center" });
    this.element.focus({ preventScroll: true });
  }

  /** Shows the panels of these traces, and marks them. */
  mark(names: readonly string[]): boolean {
    let found = false;
    for (const row of this.rows) {
      const meant = names.includes(row.name);
      found ||= meant;
      if (meant) row.shown = true;
      row.element.classList.toggle("chosen", meant);
    }
    this.fit();
    return found;
  }

  destroy(): void {
    this.observer.disconnect();
    this.sight.disconnect();
    this.ended.abort();
    cancelAnimationFrame(this.due);
    for (const row of this.rows) row.destroy();
    this.element.remove();
  }

  private get colours(): Paint {
    this.paint ??= paintOf(this.element);
    return this.paint;
  }

  /** The longest view: the whole run, or the longest of the overlaid periods. */
  private get whole(): SeenSpan {
    if (!this.laid) return { from: this.stack.from, to: this.stack.to };
    return { from: 0, to: longestStep(this.laid.starts) };
  }

  private get starts(): readonly number[] {
    if (!this.laid) return [0];
    const { starts } = this.laid;
    const each = Math.ceil(starts.length / mostLaid);
    return [...starts].filter((_, i) => i % each === 0);
  }

  private offerPeriods(): void {
    const { periods } = this.stack;
    const options = periods.map(({ name, starts }, i) => {
      const each = engineering((starts[starts.length - 1] - starts[0]) / (starts.length - 1), "s");
      return make("option", { value: `${i}` }, `periods of ${visible(name)}, ${each}`);
    });
    this.choice.replaceChildren(make("option", { value: "" }, "the run"), ...options);
    this.choice.hidden = periods.length === 0;
    this.choice.value = this.laid ? `${periods.indexOf(this.laid)}` : "";
  }

  private tools(): HTMLElement[] {
    return [
      button("+", "Zoom in (+)", () => this.zoomBy(1 / 1.6)),
      button("−", "Zoom out (−)", () => this.zoomBy(1.6)),
      button("Whole", "The whole run (Home)", () => this.go(this.whole)),
      button("Second cursor", "Put the second cursor where the first stands (m)", () => this.second()),
      button("Fit", "Fit the heights to what is seen, or back (f)", () => this.fitHeights()),
      this.choice,
    ];
  }

  private chooser(): HTMLElement {
    const boxes = this.rows.map((row) => row.choice(() => this.fit()));
    return make("details", { class: "chooser" }, make("summary", {}, "Traces shown"), ...boxes);
  }

  private listen(row: PanelRow): void {
    const at = (share: number) => this.seen.from + share * (this.seen.to - this.seen.from);
    new Gestures(row.over, {
      point: (share) => {
        this.inUse = row;
        this.point(at(share));
      },
      select: (from, to) => this.go({ from: at(from), to: at(to) }),
      marking: (stretch) => {
        for (const one of this.rows) one.marking(stretch);
      },
      zoom: (share, factor) => this.go(zoomed(this.seen, at(share), factor, this.whole)),
      pan: (by) => this.go(panned(this.seen, by * (this.seen.to - this.seen.from), this.whole)),
      whole: () => this.go(this.whole),
      inUse: () => this.element.contains(document.activeElement),
    });
  }

  private key(event: KeyboardEvent): void {
    // Controls inside it have their own keys.
    if (event.target !== this.element) return;
    const length = this.seen.to - this.seen.from;
    const known = pressed(event, {
      step: (by) => this.point(this.place + by * length),
      corner: (way) => this.corner(way),
      zoom: (factor) => this.zoomBy(factor),
      pan: (by) => this.go(panned(this.seen, by * length, this.whole)),
      whole: () => this.go(this.whole),
      second: () => this.second(),
      clear: () => this.put({ ...this.cursors, second: undefined }),
      fit: () => this.fitHeights(),
    });
    if (known) event.preventDefault();
  }

  /** Position of the first cursor; the middle of the view if it has not been used. */
  private get place(): number {
    return this.cursors.first ?? (this.seen.from + this.seen.to) / 2;
  }

  private zoomBy(factor: number): void {
    const { from, to } = this.seen;
    const at = this.place >= from && this.place <= to ? this.place : (from + to) / 2;
    this.go(zoomed(this.seen, at, factor, this.whole));
  }

  private corner(way: 1 | -1): void {
    const row = this.inUse ?? this.rows.find(({ shown }) => shown);
    const next = row?.corner(this.place, way);
    if (next !== undefined && !this.laid) this.point(next);
  }

  private second(): void {
    this.put({ first: this.place, second: this.place });
  }

  private fitHeights(): void {
    this.fitted = !this.fitted;
    this.draw();
  }

  private use(row: PanelRow): void {
    this.inUse = row;
    for (const one of this.rows) one.element.classList.toggle("chosen", one === row);
  }

  /** Moves the first cursor, and the view with it. */
  private point(at: number): void {
    const { from, to } = this.whole;
    const first = Math.min(Math.max(at, from), to);
    this.put({ ...this.cursors, first });
    if (first < this.seen.from) this.go(panned(this.seen, first - this.seen.from, this.whole));
    if (first > this.seen.to) this.go(panned(this.seen, first - this.seen.to, this.whole));
  }

  private put(cursors: Cursors): void {
    this.cursors = cursors;
    this.tell();
    for (const row of this.rows) row.place(cursors, this.seen);
  }

  private tell(): void {
    this.times.textContent = timeWords(this.cursors);
    if (this.cursors.first !== undefined && !this.laid) this.moved(this.cursors.first, this.stack);
  }

  private lay(periods: StackPeriods | undefined): void {
    this.laid = periods;
    this.choice.value = periods ? `${this.stack.periods.indexOf(periods)}` : "";
    this.seen = this.whole;
    this.put({ first: undefined, second: undefined });
  }

  private go(wanted: SeenSpan): void {
    this.seen = inside(wanted, this.whole);
    this.draw();
  }

  /** Sets the width of each panel, and puts the axis labels on the last one. */
  private fit(): void {
    const shown = this.rows.filter((row) => row.shown);
    for (const row of this.rows) row.fit(row === shown.at(-1));
    this.draw();
  }

  /** Draws at the next animation frame, once for all changes. */
  private draw(): void {
    cancelAnimationFrame(this.due);
    this.due = requestAnimationFrame(() => this.show());
  }

  /** Notes which panels are on or near the screen; those that appear there are drawn. */
  private see(entries: readonly IntersectionObserverEntry[]): void {
    for (const { target, isIntersecting } of entries)
      for (const row of this.rows) if (row.element === target) row.inSight = isIntersecting;
    this.draw();
  }

  /** @param all true to draw what is off the screen too */
  private show(all = false): void {
    const { starts } = this;
    for (const row of this.rows) {
      if (!row.shown || !(all || row.inSight)) continue;
      row.show(this.seen, starts, this.fitted);
      row.place(this.cursors, this.seen);
    }
    this.foot.textContent = this.footWords();
    this.shows.textContent = seenWords(this.seen);
  }

  private footWords(): string {
    const row = this.rows.find(({ shown }) => shown);
    const { laid, stack } = this;
    const banded = this.rows.some((one) => one.banded);
    return row ? footWords(row.timeScale, stack.marks, banded, laid?.name) : "No trace is shown";
  }
}
