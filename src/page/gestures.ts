// What a pointer does on a panel: hovering moves the cursor; dragging with the mouse marks a stretch to be shown; dragging with
// Shift or a finger moves the view; two fingers zoom; the wheel zooms a plot that is in use, and sideways pans it.
/// <reference lib="dom" />

/** What a pointer asks for; positions are shares of the panel's width, from 0 at the left. */
export interface PointerActions {
  point(at: number): void;
  select(from: number, to: number): void;
  /** A stretch being marked; undefined when the marking ends. */
  marking(stretch: { readonly from: number; readonly to: number } | undefined): void;
  zoom(at: number, factor: number): void;
  /** Moves the view by a share of its width. */
  pan(by: number): void;
  whole(): void;
  /** Whether the wheel belongs to the plot and not to the page. */
  inUse(): boolean;
}

/** Pixels that a pointer must move for a press to become a drag. */
const slight = 4;

/** Listens on a panel's drawing. */
export class Gestures {
  private readonly down = new Map<number, { start: number; last: number }>();
  private pans = false;

  constructor(
    private readonly over: HTMLElement,
    private readonly asked: PointerActions,
  ) {
    over.addEventListener("pointerdown", (event) => this.press(event));
    over.addEventListener("pointermove", (event) => this.move(event));
    over.addEventListener("pointerup", (event) => this.lift(event));
    over.addEventListener("pointercancel", (event) => this.lift(event, true));
    over.addEventListener("wheel", (event) => this.wheel(event), { passive: false });
    over.addEventListener("dblclick", () => asked.whole());
  }

  private share({ clientX }: MouseEvent): number {
    const { left, width } = this.over.getBoundingClientRect();
    return (clientX - left) / width;
  }

  private get pixel(): number {
    return 1 / this.over.getBoundingClientRect().width;
  }

  private press(event: PointerEvent): void {
    if (event.button !== 0) return;
    this.over.setPointerCapture(event.pointerId);
    const at = this.share(event);
    this.down.set(event.pointerId, { start: at, last: at });
    this.pans = event.pointerType === "touch" || event.shiftKey || this.down.size > 1;
    if (event.pointerType === "touch") this.asked.point(at);
  }

  private move(event: PointerEvent): void {
    const at = this.share(event);
    const own = this.down.get(event.pointerId);
    if (!own) {
      if (event.pointerType !== "touch") this.asked.point(at);
      return;
    }
    const before = [...this.down.values()].map(({ last }) => last);
    const moved = at - own.last;
    own.last = at;
    if (this.down.size === 2) this.pinch(before);
    else if (this.pans) this.asked.pan(-moved);
    else if (Math.abs(at - own.start) > slight * this.pixel) this.asked.marking(ordered(own.start, at));
  }

  private pinch([a, b]: readonly number[]): void {
    const [c, d] = [...this.down.values()].map(({ last }) => last);
    const apart = Math.max(Math.abs(d - c), 4 * this.pixel);
    this.asked.zoom((a + b) / 2, Math.max(Math.abs(b - a), 4 * this.pixel) / apart);
    this.asked.pan((a + b) / 2 - (c + d) / 2);
  }

  private lift(event: PointerEvent, cancelled = false): void {
    const own = this.down.get(event.pointerId);
    this.down.delete(event.pointerId);
    if (!own || this.pans) return;
    this.asked.marking(undefined);
    const { from, to } = ordered(own.start, this.share(event));
    if (!cancelled && to - from > slight * this.pixel) this.asked.select(Math.max(0, from), Math.min(1, to));
  }

  private wheel(event: WheelEvent): void {
    if (!event.ctrlKey && !this.asked.inUse()) return;
    event.preventDefault();
    const lines = event.deltaMode === 1 ? 16 : 1;
    if (Math.abs(event.deltaX) > Math.abs(event.deltaY)) this.asked.pan(event.deltaX * lines * this.pixel);
    else this.asked.zoom(this.share(event), Math.exp(event.deltaY * lines * 0.002));
  }
}

function ordered(a: number, b: number): { from: number; to: number } {
  return { from: Math.min(a, b), to: Math.max(a, b) };
}
