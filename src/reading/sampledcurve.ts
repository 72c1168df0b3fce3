// The curve that a trace was drawn from, at single instants: an area needs it more exactly between two samples than a cubic
// gives.
import type { Assembly } from "../assembly/assemble.js";
import type { CurvePoint } from "../waveforms/trace.js";
import { nothingSeen } from "./accuracy.js";
import { viewOf } from "./leapview.js";
import type { Probe } from "./probe.js";
import type { Recording, Stretch } from "./recording.js";
import type { ProbeView, StretchView } from "./view.js";

/** A probe at instants that mostly ascend. */
export class SampledCurve {
  private view: ProbeView | undefined = undefined;
  private stretch: Stretch | undefined = undefined;
  private inside: StretchView | undefined = undefined;
  /** The piece in hand, in ticks. */
  private from = 0;
  private to = 0;
  private readonly seen = nothingSeen();
  private readonly point = { value: 0, slope: 0 };

  constructor(
    private readonly assembly: Assembly,
    private readonly recording: Recording,
    private readonly probe: Probe,
  ) {}

  /** The value at an instant (s), and its slope per second; NaN where nothing is recorded. The object is reused. */
  at(time: number): CurvePoint {
    const { seen, point } = this;
    const { clock } = this.assembly;
    const tick = Math.floor(time / clock.seconds + 0.5);
    const known = (tick >= this.from && tick < this.to) || this.enter(tick);
    // Use z there, where that says all: forms carried to the start are for looks that recur.
    const { opening } = this.inside ?? {};
    if (known && opening) opening.carried(tick, seen);
    else if (known) this.inside!.look(tick, 1, seen);
    point.value = known ? seen.value + seen.slope * (time - clock.time(tick)) : Number.NaN;
    point.slope = known ? seen.slope : Number.NaN;
    return point;
  }

  /** The value at an instant (s) as it is reached, also at the end of the recording; NaN outside it. */
  reached(time: number): number {
    const { seen } = this;
    const { clock } = this.assembly;
    const tick = Math.floor(time / clock.seconds + 0.5);
    if (!(tick > this.from && tick <= this.to) && !this.enter(tick - 1)) return Number.NaN;
    this.inside!.look(tick, 0, seen);
    return seen.value + seen.slope * (time - clock.time(tick));
  }

  /** Goes to the piece that holds a tick; false where there is none. */
  private enter(tick: number): boolean {
    const { stretch } = this;
    if (!(stretch && tick >= stretch.from && tick < stretch.to) && !this.reach(tick)) return false;
    const { from, to } = this.inside!.pieces.around(tick);
    this.from = from;
    this.to = to;
    this.inside!.piece(from, to);
    return tick >= this.from && tick < this.to;
  }

  /** Goes to the stretch that holds a tick; false where there is none. */
  private reach(tick: number): boolean {
    this.view ??= viewOf(this.assembly, this.recording, this.probe);
    // As far as it goes: in the rest of one that is cut short nothing quick would have decayed, and its slopes be rounding.
    for (const stretch of this.view.stretches(tick, Number.POSITIVE_INFINITY)) {
      this.stretch = stretch;
      this.inside = this.view.enter(stretch);
      return true;
    }
    return false;
  }
}
