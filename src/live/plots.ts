// The waveforms of one time scale at a time, as the report has them. They keep their place while values turn: what is seen and the
// cursors stay, and only the curves change.
/// <reference lib="dom" />
import { StackView } from "../page/stackview.js";
import { Trace } from "../waveforms/trace.js";
import type { LiveGroup } from "./messages.js";

/** The waveforms on the page. */
export class WavePlots {
  private view?: StackView;

  constructor(private readonly host: HTMLElement) {}

  /** Shows a group. */
  show(group: LiveGroup): void {
    const stack = {
      ...group,
      panels: group.panels.map(({ trace, limits }) => ({ trace: new Trace(trace), limits, spare: false })),
    };
    if (this.view?.replace(stack)) return;
    this.clear();
    this.view = new StackView(stack);
    this.host.replaceChildren(this.view.element);
  }

  /** Says what there is in place of waveforms. */
  clear(words = ""): void {
    this.view?.destroy();
    this.view = undefined;
    this.host.textContent = words;
  }
}
