// A picture of traces as SVG text: panels, or groups of panels that each have their own time scale (line scale beside field
// scale). It is well-formed XML whatever the names hold, and needs no script, font or other file.
import { engineering } from "../base/quantity.js";
import { bandWords } from "./envelope.js";
import { faint, shorten, text } from "./lettering.js";
import { margin, sheet, titleBand } from "./mount.js";
import { drawPanel, nameRoom, type Panel } from "./panel.js";
import { type Frame, type Scale, scale } from "./scale.js";

/** Panels stacked over one time axis. */
export interface PanelGroup {
  readonly title: string;
  /** Span of time shown, s. */
  readonly from: number;
  readonly to: number;
  readonly panels: readonly Panel[];
}

/** Size and names of a picture. */
interface PictureLook {
  readonly title: string;
  /** Pixels; 1200 unless given. */
  readonly width?: number;
  /** Pixels; as the tallest group needs unless given. */
  readonly height?: number;
  /** Prefix of the ids in the picture, a word; tells several pictures on one page apart. */
  readonly id?: string;
}

// Measures of the page, px.
const groupBand = 30;
const headBand = 28;
const axisBand = 46;
const tickRoom = 46;
const gap = 20;
const panelHeight = 150;

/**
 * Draws a picture.
 * @param content panels that share one time axis, or groups side by side
 * @returns SVG text, with a title and a description for readers who cannot see it
 * @throws RangeError if there is nothing to draw or a span is empty
 */
export function tracePicture(content: readonly Panel[] | readonly PanelGroup[], look: PictureLook): string {
  const groups = grouped(content);
  const width = look.width ?? 1200;
  const id = look.id ?? "picture";
  const most = Math.max(...groups.map((g) => g.panels.length));
  const titled = groups.some((g) => g.title !== "");
  const top = titleBand + (titled ? groupBand : 0);
  const height = look.height ?? top + most * (panelHeight + headBand) + axisBand + margin / 2;
  const columnWidth = (width - 2 * margin - (groups.length - 1) * gap) / groups.length;
  const body = groups.map((group, g) => {
    const left = margin + g * (columnWidth + gap);
    return drawGroup(
      group,
      { left, top, right: left + columnWidth, bottom: height - axisBand - margin / 2 },
      `${id}-${g}`,
    );
  });
  return sheet({ id, width, height, title: look.title, words: describe(groups) }, body);
}

function grouped(content: readonly Panel[] | readonly PanelGroup[]): readonly PanelGroup[] {
  if (content.length === 0) throw new RangeError("a picture needs a panel at least");
  const groups =
    "panels" in content[0] ? (content as readonly PanelGroup[]) : [shared(content as readonly Panel[])];
  for (const g of groups) {
    if (g.panels.length === 0) throw new RangeError("a group needs a panel at least");
    if (!(g.from < g.to) || !Number.isFinite(g.to - g.from))
      throw new RangeError(`${g.from} s to ${g.to} s is no span of time`);
  }
  return groups;
}

// Plain panels share the span that covers all of theirs.
function shared(panels: readonly Panel[]): PanelGroup {
  const from = panels.map((p) => p.from ?? Math.min(...p.traces.map((t) => t.from)));
  const to = panels.map((p) => p.to ?? Math.max(...p.traces.map((t) => t.to)));
  return { title: "", from: Math.min(...from), to: Math.max(...to), panels };
}

function drawGroup(group: PanelGroup, box: Frame, id: string): string {
  const left = box.left + tickRoom;
  const right = box.right - Math.max(...group.panels.map(nameRoom));
  const room = Math.max(2, Math.floor((right - left) / 60));
  const time = scale(group, "s", { start: left, end: right, room });
  const pitch = (box.bottom - box.top) / group.panels.length;
  const out: string[] = [];
  if (group.title !== "") {
    const title = shorten(group.title, 15, right - left);
    out.push(text(left, box.top - 10, title, { size: 15, fill: faint, weight: 500 }));
  }
  group.panels.forEach((panel, p) => {
    const frame = { left, right, top: box.top + p * pitch + headBand, bottom: box.top + (p + 1) * pitch };
    out.push(drawPanel(panel, frame, time, `${id}-frame-${p}`));
  });
  const banded = out.some((markup) => markup.includes('class="band"'));
  out.push(timeAxis(time, left, right, box.bottom, banded ? `; ${bandWords}` : ""));
  return out.join("\n");
}

function timeAxis(time: Scale, left: number, right: number, bottom: number, more: string): string {
  const ticks = time.ticks.map((t) =>
    text(time.pixel(t.value), bottom + 17, t.label, { size: 12, fill: faint, anchor: "middle" }),
  );
  const after = time.origin === 0 ? "" : ` after ${engineering(time.origin, "s", 9)}`;
  return (
    ticks.join("") +
    text(
      (left + right) / 2,
      bottom + 37,
      shorten(`time${after} (${time.unit})${more}`, 12, right - left, true),
      {
        size: 12,
        fill: faint,
        anchor: "middle",
        weight: 600,
      },
    )
  );
}

// The picture in words: what it shows, and the span of time.
function describe(groups: readonly PanelGroup[]): string {
  return groups
    .map((g) => {
      const panels = g.panels.map((p) => {
        const limits = (p.limits ?? []).map((l) => `, limit ${l.label}`).join("");
        return `${p.title}: ${p.traces.map((t) => `${t.name} in ${t.unit}`).join(", ")}${limits}`;
      });
      const span = `${engineering(g.from, "s")} to ${engineering(g.to, "s")}`;
      return `${g.title === "" ? "" : `${g.title}, `}${span}. ${panels.join(". ")}.`;
    })
    .join(" ");
}
