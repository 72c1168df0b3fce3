// Waveforms on the screen: panels over one time axis, drawn by the plotting library. They keep their place while values turn, so that
// only the curves change. Keys: arrows move the cursor, + and - zoom, 0 shows all.
/// <reference lib="dom" />
import uPlot from "uplot";
import { engineering } from "../base/quantity.js";
import type { LiveGroup, LivePanel } from "./messages.js";

const height = 136;
/** Room for the labels of the upright axis, px. */
const labelRoom = 64;

interface Shown {
  panel: LivePanel;
  readonly plot: uPlot;
  readonly place: HTMLElement;
  readonly readout: HTMLElement;
}

/** Colours of the page as they are now. */
function colours() {
  const style = getComputedStyle(document.documentElement);
  const of = (name: string) => style.getPropertyValue(`--${name}`).trim();
  return {
    ink: of("ink"),
    faint: of("faint"),
    grid: of("grid"),
    curve: of("curve"),
    zone: of("zone"),
    edge: of("edge"),
  };
}

/** The panels of one group at a time. */
export class WavePlots {
  private shown: Shown[] = [];
  private group?: LiveGroup;
  private ink = colours();

  constructor(private readonly host: HTMLElement) {
    new ResizeObserver(() => this.fit()).observe(host);
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => this.again());
  }

  /** Shows a group; of the same panels as before only the curves change, and a zoom stays. */
  show(group: LiveGroup): void {
    const before = this.group;
    this.group = group;
    const same =
      before !== undefined &&
      before.from === group.from &&
      before.to === group.to &&
      before.panels.length === group.panels.length &&
      before.panels.every(
        ({ title, unit }, i) => title === group.panels[i].title && unit === group.panels[i].unit,
      );
    if (!same) {
      this.again();
      return;
    }
    for (const [i, one] of this.shown.entries()) {
      one.panel = group.panels[i];
      const { min, max } = one.plot.scales["x"];
      one.plot.setData([one.panel.time, one.panel.value] as unknown as uPlot.AlignedData, false);
      one.plot.setScale("x", { min: min ?? group.from, max: max ?? group.to });
      describe(one);
    }
  }

  private again(): void {
    const { group } = this;
    for (const { plot } of this.shown) plot.destroy();
    this.host.replaceChildren();
    this.shown = [];
    if (!group) return;
    this.ink = colours();
    this.shown = group.panels.map((panel, i) => this.make(panel, group, i === group.panels.length - 1));
  }

  private make(panel: LivePanel, group: LiveGroup, last: boolean): Shown {
    const place = document.createElement("div");
    place.className = "panel";
    place.tabIndex = 0;
    place.setAttribute("role", "img");
    const head = document.createElement("p");
    head.className = "panel-head";
    head.setAttribute("aria-hidden", "true");
    const name = document.createElement("b");
    name.textContent = panel.title;
    const readout = document.createElement("span");
    head.append(name, readout);
    place.append(head);
    this.host.append(place);
    const shown: Shown = {
      panel,
      place,
      readout,
      plot: new uPlot(
        this.options(group, last, () => shown),
        [panel.time, panel.value] as unknown as uPlot.AlignedData,
        place,
      ),
    };
    place.addEventListener("keydown", (event) => this.key(event, shown));
    describe(shown);
    return shown;
  }

  private options(group: LiveGroup, last: boolean, shown: () => Shown): uPlot.Options {
    const { ink } = this;
    const axis = {
      stroke: ink.faint,
      grid: { stroke: ink.grid, width: 1 },
      ticks: { stroke: ink.grid, width: 1 },
    };
    const font = "12px system-ui, sans-serif";
    return {
      width: Math.max(200, this.host.clientWidth),
      height: last ? height + 22 : height,
      legend: { show: false },
      cursor: { sync: { key: "time" }, drag: { x: true, y: false, setScale: true }, points: { size: 7 } },
      scales: {
        x: { time: false, range: (_, min, max) => [min ?? group.from, max ?? group.to] },
        y: { range: (_, min, max) => withLimits(shown()?.panel, min, max) },
      },
      axes: [
        {
          ...axis,
          font,
          size: last ? 34 : 10,
          space: 90,
          values: (_, ticks) => ticks.map((t) => (last ? engineering(clean(t, ticks), "s", 6) : "")),
        },
        {
          ...axis,
          font,
          size: labelRoom,
          space: 30,
          values: (_, ticks) => ticks.map((v) => engineering(clean(v, ticks), shown().panel.unit)),
        },
      ],
      series: [{}, { stroke: ink.curve, width: 1.75, points: { show: false } }],
      hooks: {
        drawAxes: [(plot) => this.zones(plot, shown().panel)],
        setCursor: [(plot) => read(plot, shown())],
        setScale: [(plot, key) => key === "x" && this.follow(plot)],
      },
    };
  }

  /** All panels show one span of time. */
  private follow(plot: uPlot): void {
    const { min, max } = plot.scales["x"];
    if (min == null || max == null) return;
    for (const { plot: other } of this.shown) {
      const { x } = other.scales;
      if (other !== plot && (x.min !== min || x.max !== max)) other.setScale("x", { min, max });
    }
  }

  /** Limits as shaded zones and marks as lines, below the curve. */
  private zones(plot: uPlot, { limits, marks }: LivePanel): void {
    const { ctx, bbox } = plot;
    const { ink } = this;
    const x = (t: number) => plot.valToPos(t, "x", true);
    const y = (v: number) => plot.valToPos(v, "y", true);
    ctx.save();
    ctx.beginPath();
    ctx.rect(bbox.left, bbox.top, bbox.width, bbox.height);
    ctx.clip();
    ctx.lineWidth = devicePixelRatio;
    for (const { low, high, from, to } of limits) {
      const left = from === undefined ? bbox.left : Math.max(bbox.left, x(from));
      const right = to === undefined ? bbox.left + bbox.width : Math.min(bbox.left + bbox.width, x(to));
      if (!(right > left)) continue;
      ctx.fillStyle = ink.zone;
      if (low !== undefined && high !== undefined)
        ctx.fillRect(left, y(high), right - left, Math.max(2, y(low) - y(high)));
      ctx.strokeStyle = ink.edge;
      ctx.setLineDash([5 * devicePixelRatio, 3 * devicePixelRatio]);
      for (const bound of [low, high]) if (bound !== undefined) line(ctx, left, y(bound), right, y(bound));
    }
    ctx.strokeStyle = ink.faint;
    ctx.setLineDash([2 * devicePixelRatio, 3 * devicePixelRatio]);
    for (const { at } of marks) line(ctx, x(at), bbox.top, x(at), bbox.top + bbox.height);
    ctx.restore();
  }

  private key(event: KeyboardEvent, { plot }: Shown): void {
    const { group } = this;
    const width = plot.over.clientWidth;
    const { left = -1 } = plot.cursor;
    const at = left < 0 ? width / 2 : left;
    const step = event.shiftKey ? width / 10 : 2;
    const zoom = (factor: number) => {
      const middle = plot.posToVal(at, "x");
      const { min, max } = plot.scales["x"];
      if (!group || min == null || max == null) return;
      const from = Math.max(group.from, middle - (middle - min) * factor);
      const to = Math.min(group.to, middle + (max - middle) * factor);
      if (to - from > 1e-6 * (group.to - group.from)) plot.setScale("x", { min: from, max: to });
    };
    const move = (to: number) =>
      plot.setCursor({ left: Math.min(width, Math.max(0, to)), top: plot.over.clientHeight / 2 });
    switch (event.key) {
      case "ArrowLeft":
        move(at - step);
        break;
      case "ArrowRight":
        move(at + step);
        break;
      case "+":
      case "=":
        zoom(0.5);
        break;
      case "-":
        zoom(2);
        break;
      case "0":
        if (group) plot.setScale("x", { min: group.from, max: group.to });
        break;
      default:
        return;
    }
    event.preventDefault();
  }

  private fit(): void {
    const width = Math.max(200, this.host.clientWidth);
    for (const { plot } of this.shown) if (plot.width !== width) plot.setSize({ width, height: plot.height });
  }
}

/** A tick that is nothing beside its neighbours is zero. */
function clean(tick: number, ticks: readonly number[]): number {
  return Math.abs(tick) < 1e-9 * Math.abs((ticks.at(-1) ?? 0) - (ticks[0] ?? 0)) ? 0 : tick;
}

function line(ctx: CanvasRenderingContext2D, x0: number, y0: number, x1: number, y1: number): void {
  ctx.beginPath();
  ctx.moveTo(x0, y0);
  ctx.lineTo(x1, y1);
  ctx.stroke();
}

/** The upright span: the curve and its limits, with some air. */
function withLimits(panel: LivePanel | undefined, min: number | null, max: number | null): [number, number] {
  const bounds = (panel?.limits ?? [])
    .flatMap(({ low, high }) => [low, high])
    .filter((v) => Number.isFinite(v));
  const all = [min, max, ...bounds].filter((v): v is number => v != null && Number.isFinite(v));
  if (all.length === 0) return [0, 1];
  const [low, high] = [Math.min(...all), Math.max(...all)];
  const dust = 1e-6 * Math.max(Math.abs(low), Math.abs(high));
  if (high - low <= dust) return low === 0 ? [-1, 1] : [Math.min(0, 1.2 * low), Math.max(0, 1.2 * low)];
  const air = 0.08 * (high - low);
  return [low - air, high + air];
}

/** What stands at the cursor, in words beside the name. */
function read(plot: uPlot, shown: Shown | undefined): void {
  if (!shown) return;
  const { panel, readout } = shown;
  const { left = -1, idx } = plot.cursor;
  if (left < 0 || idx == null) {
    readout.textContent = limitWords(panel);
    return;
  }
  const t = plot.posToVal(left, "x");
  readout.textContent = `${engineering(t, "s", 6)}: ${engineering(valueAt(panel, t), panel.unit)}`;
}

function limitWords({ limits, marks }: LivePanel): string {
  return [...limits, ...marks].map(({ label }) => label).join(" · ");
}

/** The value of the curve at an instant, straight between its points. */
function valueAt({ time, value }: LivePanel, t: number): number {
  let [low, high] = [0, time.length - 1];
  if (high < 0) return Number.NaN;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (time[middle] <= t) low = middle;
    else high = middle;
  }
  const span = time[high] - time[low];
  const share = span > 0 ? Math.min(1, Math.max(0, (t - time[low]) / span)) : 0;
  return value[low] + share * (value[high] - value[low]);
}

function describe({ panel, place, readout, plot }: Shown): void {
  let [low, high] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (const v of panel.value) {
    if (v < low) low = v;
    if (v > high) high = v;
  }
  const span =
    low <= high ? `${engineering(low, panel.unit)} to ${engineering(high, panel.unit)}` : "no values";
  const words = limitWords(panel);
  place.setAttribute("aria-label", `${panel.title}: ${span}${words === "" ? "" : `; ${words}`}`);
  if ((plot.cursor.left ?? -1) < 0) readout.textContent = words;
}
