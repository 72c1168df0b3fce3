// One panel: uPlot keeps the canvas, its size, the axes and their grid. The curve is drawn here from its outline, since each
// trace has its own instants and jumps, and many of its periods may be overlaid.
/// <reference lib="dom" />
import uPlot from "uplot";
import { bandInk, leastBand, parted } from "../report/envelope.js";
import { typeset } from "../report/markup.js";
import { type AxisRange, airy, scale } from "../report/scale.js";
import type { StackPanel } from "../report/stack.js";
import { Levels } from "./fineness.js";
import { inkBand, inkLine } from "./inking.js";
import { inkOf, type Paint } from "./paint.js";
import type { SeenSpan } from "./seen.js";

/** Measures, CSS pixels. */
const axisWidth = 54;
const footHeight = 26;
const bareFoot = 6;
const plotHeight = 118;

/** Starts of the periods that are overlaid, s; a single 0 for the run as it is. */
type Starts = readonly number[];

/** A panel on the screen. */
export class PanelPlot {
  private levels: Levels;
  readonly plot: uPlot;
  private seen: SeenSpan;
  private starts: Starts = [0];
  /** Whether the labels of the time axis are below it. */
  private labelled = false;
  private range: AxisRange;
  /** Whether the curve is too dense to follow and is drawn as a band. */
  banded = false;
  private wholeRange: AxisRange;

  constructor(
    private panel: StackPanel,
    private readonly host: HTMLElement,
    whole: SeenSpan,
    private readonly paint: () => Paint,
    /** Instants at which something happens during the run, s. */
    private readonly marks: () => readonly number[],
  ) {
    this.levels = new Levels(panel.trace);
    this.seen = whole;
    this.wholeRange = rangeOf(this.levels.bounds(whole), panel);
    this.range = this.wholeRange;
    this.host.style.height = `${plotHeight + bareFoot}px`;
    this.plot = new uPlot(
      this.options(),
      [
        [whole.from, whole.to],
        [null, null],
      ] as uPlot.AlignedData,
      host,
    );
  }

  get name(): string {
    return this.panel.trace.name;
  }

  get unit(): string {
    return this.panel.trace.unit;
  }

  /** Values smaller than this count as zero: the rounding of what a page holds. */
  get dust(): number {
    return (this.wholeRange.to - this.wholeRange.from) * 2e-5;
  }

  /** Replaces its curve; the new one appears with the next `show`. */
  replace(panel: StackPanel, whole: SeenSpan): void {
    this.panel = panel;
    this.levels = new Levels(panel.trace);
    this.wholeRange = rangeOf(this.levels.bounds(whole), panel);
  }

  /** Shows a stretch, for overlaid periods from each start. @param fitted true to fit the height to what is seen */
  show(seen: SeenSpan, starts: Starts, fitted: boolean): void {
    this.seen = seen;
    this.starts = starts;
    this.range = fitted ? this.fittedRange() : this.wholeRange;
    // In one batch, or it would be drawn twice.
    this.plot.batch(() => {
      this.plot.setScale("x", { min: seen.from, max: seen.to });
      this.plot.setScale("y", { min: this.range.from, max: this.range.to });
      this.plot.redraw(false, true);
    });
  }

  /** Takes the width of its host. @param foot whether the labels of the time axis are below it */
  fit(foot: boolean): void {
    const width = Math.max(160, Math.floor(this.host.clientWidth));
    // The height is set at once: the plot resizes a moment later, and what is below must not jump.
    this.host.style.height = `${plotHeight + (foot ? footHeight : bareFoot)}px`;
    const height = plotHeight + (foot ? footHeight : bareFoot);
    this.labelled = foot;
    if (width !== this.plot.width || height !== this.plot.height) this.plot.setSize({ width, height });
  }

  /** Left edge and width of the drawing, CSS pixels from the host's left edge. */
  get frame(): { left: number; width: number } {
    const { left, width } = this.plot.bbox;
    return { left: left / devicePixelRatio, width: width / devicePixelRatio };
  }

  /** The value at an instant, as low and high; for overlaid periods, the lowest and highest of them. */
  values(at: number): { low: number; high: number } | undefined {
    let found: { low: number; high: number } | undefined;
    for (const start of this.starts) {
      const v = this.levels.at(start + at);
      if (v === undefined) continue;
      found = found ? { low: Math.min(found.low, v), high: Math.max(found.high, v) } : { low: v, high: v };
    }
    return found;
  }

  destroy(): void {
    this.plot.destroy();
  }

  private fittedRange(): AxisRange {
    const bounds = this.starts.flatMap((start) => {
      const { from, to } = this.seen;
      return this.levels.bounds({ from: start + from, to: start + to }) ?? [];
    });
    if (bounds.length === 0) return this.wholeRange;
    const low = Math.min(...bounds.map((b) => b.low));
    const high = Math.max(...bounds.map((b) => b.high));
    // Below a few hundredths of a per cent, the rounding of the stored samples would show.
    const least = (this.wholeRange.to - this.wholeRange.from) / 500;
    const spare = Math.max(0, least - (high - low)) / 2;
    return airy(low - spare, high + spare);
  }

  private options(): uPlot.Options {
    const ink = () => this.paint().axis;
    const grid = { stroke: () => this.paint().grid, width: 1 };
    const font = "12px system-ui, sans-serif";
    const axis: uPlot.Axis = { stroke: ink, grid, font, ticks: { show: false } };
    return {
      width: Math.max(160, this.host.clientWidth),
      height: plotHeight + bareFoot,
      // Room for half of the last label of the time axis.
      padding: [6, 16, 0, 0],
      cursor: { show: false },
      legend: { show: false },
      scales: {
        x: { time: false, range: () => [this.seen.from, this.seen.to] },
        y: { range: () => [this.range.from, this.range.to] },
      },
      series: [{}, { show: true, paths: () => null, points: { show: false } }],
      axes: [
        {
          ...axis,
          size: () => (this.labelled ? footHeight : bareFoot),
          splits: () => this.timeScale().ticks.map((t) => t.value),
          values: () => this.timeScale().ticks.map((t) => (this.labelled ? typeset(t.label) : "")),
        },
        {
          ...axis,
          size: axisWidth,
          splits: () => this.upScale().ticks.map((t) => t.value),
          values: () => this.upScale().ticks.map((t) => typeset(t.label)),
        },
      ],
      hooks: { drawClear: [(u) => this.drawLimits(u)], draw: [(u) => this.drawCurves(u)] },
    };
  }

  /** The time scale, the same as in the still pictures. */
  timeScale() {
    const width = this.plot?.bbox ? this.frame.width : 600;
    return scale(this.seen, "s", {
      start: 0,
      end: width,
      room: Math.max(2, Math.floor(width / (width < 320 ? 56 : 80))),
    });
  }

  /** The scale of values. */
  upScale() {
    const room = Math.max(2, Math.floor(plotHeight / 26));
    return scale(this.range, this.unit, { start: plotHeight, end: 0, room }, { far: 500, round: true });
  }

  private drawLimits(u: uPlot): void {
    const { ctx, bbox } = u;
    const paint = this.paint();
    ctx.save();
    clipTo(ctx, bbox);
    const y = (v: number) => u.valToPos(v, "y", true);
    const x = (t: number) => u.valToPos(t, "x", true);
    const strip = 7 * devicePixelRatio;
    for (const { low, high, from, to } of this.panel.limits) {
      const lower = Number.isFinite(low) ? y(low!) : undefined;
      const upper = Number.isFinite(high) ? y(high!) : undefined;
      const overlaid = this.starts.length > 1;
      const left = from === undefined || overlaid ? bbox.left : x(from);
      const right = to === undefined || overlaid ? bbox.left + bbox.width : x(to);
      if (!(right > left) || (lower === undefined && upper === undefined)) continue;
      const top = upper ?? lower! - strip;
      const bottom = lower ?? top + strip;
      ctx.fillStyle = paint.zone;
      ctx.fillRect(left, top, right - left, Math.max(bottom - top, 1));
      ctx.strokeStyle = paint.edge;
      ctx.lineWidth = devicePixelRatio;
      ctx.setLineDash([5 * devicePixelRatio, 3 * devicePixelRatio]);
      ctx.beginPath();
      for (const edge of [lower, upper]) {
        if (edge === undefined) continue;
        ctx.moveTo(left, edge);
        ctx.lineTo(right, edge);
      }
      ctx.stroke();
    }
    // Over overlaid periods, an instant of the run has no position.
    if (this.starts.length === 1 && this.starts[0] === 0) {
      ctx.strokeStyle = paint.axis;
      ctx.lineWidth = devicePixelRatio;
      ctx.setLineDash([2 * devicePixelRatio, 3 * devicePixelRatio]);
      ctx.beginPath();
      for (const at of this.marks()) {
        ctx.moveTo(x(at), bbox.top);
        ctx.lineTo(x(at), bbox.top + bbox.height);
      }
      ctx.stroke();
    }
    ctx.restore();
  }

  private drawCurves(u: uPlot): void {
    const { ctx, bbox } = u;
    const { from, to } = this.seen;
    const perSecond = bbox.width / (to - from);
    const perUnit = bbox.height / (this.range.to - this.range.from);
    const bottom = bbox.top + bbox.height;
    // Values far outside are drawn just outside: a canvas loses what is farther.
    const height = (v: number) => Math.max(-1e5, Math.min(1e5, bottom - (v - this.range.from) * perUnit));
    ctx.save();
    clipTo(ctx, bbox);
    ctx.strokeStyle = inkOf(this.paint(), this.unit);
    ctx.lineWidth = 1.5 * devicePixelRatio;
    ctx.lineJoin = "round";
    ctx.fillStyle = ctx.strokeStyle;
    const laid = this.starts.length > 1 ? Math.max(0.12, 0.9 / Math.sqrt(this.starts.length)) : 1;
    this.banded = false;
    for (const start of this.starts) {
      const seen = { from: start + from, to: start + to };
      const outline = this.levels.outline(seen, bbox.width);
      const across = (t: number) => bbox.left + (t - seen.from) * perSecond;
      const least = (leastBand * devicePixelRatio) / perUnit;
      const parts = parted(
        outline,
        { ...seen, columns: Math.ceil(bbox.width), least },
        () => this.levels.means,
      );
      for (const part of parts) {
        ctx.globalAlpha = laid;
        if (part.type === "line") inkLine(ctx, outline, part, { across, height });
        else {
          this.banded = true;
          inkBand(ctx, part, { across, height }, { band: laid * bandInk, mean: laid });
        }
      }
    }
    ctx.restore();
  }
}

function clipTo(ctx: CanvasRenderingContext2D, { left, top, width, height }: uPlot.BBox): void {
  ctx.beginPath();
  ctx.rect(left, top, width, height);
  ctx.clip();
}

function rangeOf(bounds: { low: number; high: number } | undefined, { limits }: StackPanel): AxisRange {
  const seen = [bounds?.low, bounds?.high, ...limits.flatMap(({ low, high }) => [low, high])].filter(
    (v): v is number => Number.isFinite(v) && Math.abs(v!) < 1e30,
  );
  const [low, high] = seen.length > 0 ? [Math.min(...seen), Math.max(...seen)] : [0, 1];
  const dust = 1e-6 * Math.max(Math.abs(low), Math.abs(high));
  return high - low > dust ? airy(low, high) : airy(Math.min(0, low), Math.max(0, high));
}
