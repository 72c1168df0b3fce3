// A panel with its annotations: its name, its limits in words, the values at the cursors, and the cursor lines.
import { engineering } from "../base/quantity.js";
import { firstAbove, firstFrom } from "../base/search.js";
import { visible } from "../report/markup.js";
import type { StackPanel } from "../report/stack.js";
import { make } from "./dom.js";
import type { Paint } from "./paint.js";
import { PanelPlot } from "./panelplot.js";
import { type Cursors, valueWords } from "./readout.js";
import type { SeenSpan } from "./seen.js";

/** A row of the stack. */
export class PanelRow {
  readonly element: HTMLElement;
  readonly name: string;
  private readonly values = make("span", { class: "values" });
  private readonly unit = make("small");
  private readonly limits = make("span", { class: "limits" });
  private readonly host = make("div", { class: "plot" });
  private readonly first = make("i", { class: "cursor" });
  private readonly second = make("i", { class: "cursor second" });
  private readonly band = make("i", { class: "band" });
  private readonly plot: PanelPlot;
  private box: HTMLInputElement | undefined = undefined;
  private drawn = false;
  /** Whether it is on the screen or near it. */
  inSight = true;

  constructor(
    private panel: StackPanel,
    whole: SeenSpan,
    paint: () => Paint,
    marks: () => readonly number[],
  ) {
    this.name = panel.trace.name;
    const head = make(
      "div",
      { class: "head" },
      make("b", {}, visible(this.name)),
      this.unit,
      this.limits,
      this.values,
    );
    this.element = make("div", { class: "panel", "data-trace": this.name }, head, this.host);
    this.element.hidden = panel.spare;
    this.plot = new PanelPlot(panel, this.host, whole, paint, marks);
    this.over.append(this.band, this.second, this.first);
    for (const one of [this.first, this.second, this.band]) one.hidden = true;
    this.sayLimits();
  }

  /** Whether another panel is of the same kind, so that its curve can be shown here. */
  fits({ trace }: StackPanel): boolean {
    return trace.name === this.name && trace.unit === this.panel.trace.unit;
  }

  /** Takes another curve and its limits. */
  replace(panel: StackPanel, whole: SeenSpan): void {
    this.panel = panel;
    this.plot.replace(panel, whole);
    this.sayLimits();
  }

  private sayLimits(): void {
    this.limits.textContent = visible(this.panel.limits.map(({ label }) => label).join(" · "));
  }

  /** The element that the pointer acts on. */
  get over(): HTMLElement {
    return this.plot.plot.over;
  }

  get shown(): boolean {
    return !this.element.hidden;
  }

  set shown(wanted: boolean) {
    this.element.hidden = !wanted;
    if (this.box) this.box.checked = wanted;
  }

  /** Whether the curve is too dense to follow and is drawn as a band. */
  get banded(): boolean {
    return this.shown && this.plot.banded;
  }

  get timeScale() {
    return this.plot.timeScale();
  }

  /** A box to show or hide it. */
  choice(changed: () => void): HTMLElement {
    const box = make("input", { type: "checkbox" });
    box.checked = this.shown;
    box.addEventListener("change", () => {
      this.shown = box.checked;
      changed();
    });
    this.box = box;
    return make("label", {}, box, ` ${visible(this.name)}`);
  }

  /** Takes its width. @param foot whether the labels of the time axis are below it */
  fit(foot: boolean): void {
    if (this.shown) this.plot.fit(foot);
  }

  show(seen: SeenSpan, starts: readonly number[], fitted: boolean): void {
    this.drawn = true;
    this.plot.show(seen, starts, fitted);
    const { unit, origin } = this.plot.upScale();
    this.unit.textContent =
      origin === 0 ? unit : `${unit}, from ${engineering(origin, this.panel.trace.unit, 9)}`;
  }

  /** The nearest sample after or before an instant at which the trace bends or jumps. */
  corner(at: number, way: 1 | -1): number | undefined {
    const { time } = this.panel.trace;
    const play = 1e-12 * (time[time.length - 1] - time[0]);
    return way > 0 ? time[firstAbove(time, at + play)] : time[firstFrom(time, at - play) - 1];
  }

  /** Puts the cursors at their positions in what is seen. */
  place(cursors: Cursors, seen: SeenSpan): void {
    if (!this.shown || !this.drawn) return;
    put(this.first, cursors.first, seen);
    put(this.second, cursors.second, seen);
    this.values.textContent = valueWords(this.plot, cursors);
  }

  /** Shows the stretch being marked, in shares of the width. */
  marking(stretch: { readonly from: number; readonly to: number } | undefined): void {
    this.band.hidden = !stretch;
    if (!stretch) return;
    this.band.style.left = `${100 * Math.max(0, stretch.from)}%`;
    this.band.style.width = `${100 * (Math.min(1, stretch.to) - Math.max(0, stretch.from))}%`;
  }

  destroy(): void {
    this.plot.destroy();
  }
}

function put(line: HTMLElement, at: number | undefined, { from, to }: SeenSpan): void {
  const seen = at !== undefined && at >= from && at <= to;
  line.hidden = !seen;
  if (seen) line.style.left = `${(100 * (at - from)) / (to - from)}%`;
}
