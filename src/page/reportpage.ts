// The script of the report: wherever the page holds the samples of a run, it makes the interactive waveforms shortly before
// they come into view. It links each check to what decided it, and links the text, the schematic and the waveforms.
/// <reference lib="dom" />
import type { Stack } from "../report/stack.js";
import { BeamSpot } from "./beamspot.js";
import { button } from "./dom.js";
import { type Joined, Links } from "./links.js";
import { StackView } from "./stackview.js";
import { unpack } from "./unpacked.js";

class RunSection {
  private view: StackView | undefined = undefined;
  private coming: Promise<StackView> | undefined = undefined;
  private readonly holder: HTMLElement;

  constructor(private readonly section: HTMLElement) {
    this.holder = section.querySelector<HTMLElement>(".moving")!;
    section.querySelectorAll<HTMLElement>("tr[data-check]").forEach((row) => {
      const go = button("Show", `Show what decided “${row.dataset["name"] ?? ""}”`, () => this.decide(row));
      row.lastElementChild?.append(go);
    });
  }

  /** The waveforms, made on first use. */
  made(): Promise<StackView> {
    this.coming ??= this.make();
    return this.coming;
  }

  private async make(): Promise<StackView> {
    const stack = await this.unpacked();
    const spots = stack.beams.flatMap(({ tube }) => {
      const figure = this.section.querySelector<HTMLElement>(`figure[data-tube="${CSS.escape(tube)}"]`);
      return figure ? [new BeamSpot(tube, figure)] : [];
    });
    const view = new StackView(stack, (at, shown) => {
      for (const spot of spots) spot.show(shown, at);
    });
    this.holder.replaceChildren(view.element);
    // Until then the still picture stands in their place.
    this.section.classList.add("moves");
    this.view = view;
    this.decided = stack.deciders;
    return view;
  }

  /** Marks the panels of these traces, if the waveforms are there already. */
  mark(names: readonly string[]): boolean {
    return this.view?.mark(names) ?? false;
  }

  /** Makes the waveforms when they are about to come into view. */
  watch(observer: IntersectionObserver): void {
    observer.observe(this.holder);
  }

  holds(element: Element): boolean {
    return element === this.holder;
  }

  private decided: Stack["deciders"] = [];

  private async decide(row: HTMLElement): Promise<void> {
    const view = await this.made();
    const decider = this.decided[Number(row.dataset["check"])];
    if (decider) view.jump(decider);
  }

  private unpacked(): Promise<Stack> {
    const text = (of: string) => this.section.querySelector(`script.${of}`)?.textContent ?? "";
    const stack = unpack({ head: text("head"), body: text("body") });
    // The text is by far the largest thing here.
    for (const held of this.section.querySelectorAll("script")) held.remove();
    return stack;
  }
}

function start(): void {
  const sections = [...document.querySelectorAll<HTMLElement>("section.run:has(.moving)")];
  const runs = sections.map((section) => new RunSection(section));
  const observer = new IntersectionObserver(
    (entries) => {
      for (const { isIntersecting, target } of entries)
        if (isIntersecting) runs.find((run) => run.holds(target))?.made();
    },
    { rootMargin: "300px" },
  );
  for (const run of runs) run.watch(observer);
  const parts = document.querySelector("script.parts")?.textContent;
  if (parts) {
    const marked = async (names: readonly string[]) => {
      // The waveforms of the design as drawn are made for this; those of a case are marked only if they are there already.
      await runs[0]?.made();
      return runs.map((run) => run.mark(names)).some(Boolean);
    };
    new Links(JSON.parse(parts) as Joined, marked);
  }
}

start();
