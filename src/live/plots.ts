// The waveforms of one time scale at a time, as in the report, and the buttons that choose it. They stay put while values
// change: the view and the cursors stay, and only the curves change.
/// <reference lib="dom" />
import { button } from "../page/dom.js";
import { type Moved, StackView } from "../page/stackview.js";
import { Trace } from "../waveforms/trace.js";
import type { LiveDecision, LiveGroup } from "./messages.js";

/** The waveforms on the page. */
export class WavePlots {
  private view?: StackView;
  private groups: readonly LiveGroup[] = [];
  /** The waveforms that decided a check, if no group shows them. */
  private decisive?: LiveGroup;
  /** Index of the chosen time scale; a first look may title the same scale differently. */
  private chosen = 0;

  /** @param moved told of the first cursor */
  constructor(
    private readonly host: HTMLElement,
    private readonly scales: HTMLElement,
    private readonly moved: Moved,
  ) {}

  /** Index of the group that is shown. */
  get at(): number {
    return this.decisive ? this.groups.length : Math.min(this.chosen, Math.max(0, this.groups.length - 1));
  }

  /** Whether a check's decision is shown, which changes when the check is judged again. */
  get atDecision(): boolean {
    return this.decisive !== undefined;
  }

  /** Takes the groups of a run. */
  show(groups: readonly LiveGroup[]): void {
    this.groups = groups;
    // The deciding waveforms are drawn once they are known for this run.
    if (this.decisive) this.offer();
    else this.draw();
  }

  /** Shows where a check was decided; stops showing it if it was not. @param jump true to go to its instant */
  decided(decision: LiveDecision | undefined, jump: boolean): void {
    this.decisive = decision?.group;
    if (decision && !decision.group) this.chosen = decision.at;
    this.draw();
    if (decision && jump) this.view?.jump(decision.decider);
  }

  private offer(): void {
    const titles = [...this.groups, ...(this.decisive ? [this.decisive] : [])].map(({ title }) => title);
    const known = [...this.scales.children].map((one) => one.textContent);
    if (titles.join("\n") !== known.join("\n"))
      this.scales.replaceChildren(...titles.map((title, i) => this.scale(title, i)));
    for (const [i, one] of [...this.scales.children].entries())
      one.setAttribute("aria-pressed", String(i === this.at));
    this.scales.hidden = titles.length < 2;
  }

  private scale(title: string, i: number): HTMLElement {
    const made = button(title, "Show this time scale", () => {
      if (i === this.groups.length) return;
      this.chosen = i;
      this.decisive = undefined;
      this.draw();
    });
    made.className = "scale";
    return made;
  }

  private draw(): void {
    this.offer();
    const group = this.decisive ?? this.groups[this.at];
    if (!group) {
      this.view?.destroy();
      this.view = undefined;
      this.host.textContent = "There is nothing to show of this run.";
      return;
    }
    const panels = group.panels.map(({ trace, ...panel }) => ({ ...panel, trace: new Trace(trace) }));
    const stack = { ...group, panels };
    if (this.view?.replace(stack)) return;
    this.view?.destroy();
    this.view = new StackView(stack, this.moved);
    this.host.replaceChildren(this.view.element);
  }
}
