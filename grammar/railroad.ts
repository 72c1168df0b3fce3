// Pictures of the grammar: one drawing with a track for each rule, read from left to right along the line. Takes
// the rules; gives the text of an SVG file. What always holds: a piece is drawn between two points of one height,
// knows how far it reaches above and below, and pieces never overlap.
import type { Piece, Production } from "./productions.js";

/** Pixels. The letters are 13 px of one width, 7.8 px each with every usual font of that kind. */
const letter = 7.8;
const box = { height: 24, pad: 10 };
const gap = { across: 14, down: 10 };
/** Radius of the bends. */
const bend = 8;
const margin = 24;

/** A piece, laid out: its width, its reach above and below its track, and how it is drawn. */
interface Track {
  readonly width: number;
  readonly above: number;
  readonly below: number;
  draw(x: number, y: number): string;
}

/** All rules as one SVG drawing. */
export function railroad(rules: readonly Production[]): string {
  const rows: string[] = [];
  let y = margin;
  let width = 0;
  for (const { name, piece } of rules) {
    const track = lay(piece);
    const at = y + 26 + track.above;
    const end = margin + 20 + track.width + 40;
    rows.push(
      `<g id="${name}">`,
      `<text class="rule" x="${margin}" y="${y + 10}">${markup(name)}</text>`,
      stop(margin, at),
      line(margin, at, margin + 20, at),
      track.draw(margin + 20, at),
      line(margin + 20 + track.width, at, end - 20, at),
      stop(end - 20, at),
      "</g>",
    );
    width = Math.max(width, end);
    y = at + track.below + 26;
  }
  const size = `${round(width + margin)} ${round(y)}`;
  const [w, h] = size.split(" ");
  return `${[
    `<svg xmlns="http://www.w3.org/2000/svg" width="${w}" height="${h}" viewBox="0 0 ${size}" role="img" aria-label="The grammar of the design language">`,
    "<style>",
    "  path { fill: none; stroke: #444; stroke-width: 1.5 }",
    "  rect { fill: #fff; stroke: #444; stroke-width: 1.2 }",
    "  rect.word { fill: #eef2ee }",
    "  text { font: 13px ui-monospace, 'DejaVu Sans Mono', monospace; fill: #111 }",
    "  text.rule { font-weight: bold }",
    "  text.kind { font-style: italic }",
    "</style>",
    `<rect x="0" y="0" width="${w}" height="${h}" style="stroke: none"/>`,
    ...rows,
    "</svg>",
  ].join("\n")}\n`;
}

function lay(piece: Piece): Track {
  switch (piece.type) {
    case "literal":
      return station(piece.text, "word");
    case "token":
      return station(piece.text, "kind");
    case "rule":
      return station(piece.name, "part");
    case "sequence":
      return row(piece.items.map(lay));
    case "choice":
      return fork(piece.items.map(lay));
    case "optional":
      return bypass(lay(piece.item));
    case "repeat":
      return loop(lay(piece.item), piece.between && lay(piece.between));
  }
}

// Words and signs have round ends, tokens leaning letters, other rules square corners.
function station(text: string, kind: "word" | "kind" | "part"): Track {
  const width = [...text].length * letter + 2 * box.pad;
  const half = box.height / 2;
  return {
    width,
    above: half,
    below: half,
    draw: (x, y) => {
      const round = kind === "part" ? 0 : half;
      const name = kind === "word" ? ' class="word"' : "";
      const letters = kind === "kind" ? ' class="kind"' : "";
      return [
        `<rect${name} x="${f(x)}" y="${f(y - half)}" width="${f(width)}" height="${box.height}" rx="${round}"/>`,
        `<text${letters} x="${f(x + width / 2)}" y="${f(y + 4.5)}" text-anchor="middle">${markup(text)}</text>`,
      ].join("\n");
    },
  };
}

function row(tracks: readonly Track[]): Track {
  return {
    width: tracks.reduce((sum, one) => sum + one.width, 0) + gap.across * (tracks.length - 1),
    above: Math.max(...tracks.map((one) => one.above)),
    below: Math.max(...tracks.map((one) => one.below)),
    draw: (x, y) => {
      let at = x;
      return tracks
        .map((one, i) => {
          const joint = i > 0 ? line(at - gap.across, y, at, y) : "";
          const drawn = one.draw(at, y);
          at += one.width + gap.across;
          return joint === "" ? drawn : `${joint}\n${drawn}`;
        })
        .join("\n");
    },
  };
}

// The first branch lies on the track, the others below it.
function fork(tracks: readonly Track[]): Track {
  const inner = Math.max(...tracks.map((one) => one.width));
  const side = 2 * bend + 4;
  const depth = [0];
  for (let i = 1; i < tracks.length; i++) {
    depth.push(depth[i - 1] + Math.max(tracks[i - 1].below + gap.down + tracks[i].above, 2 * bend));
  }
  return {
    width: inner + 2 * side,
    above: tracks[0].above,
    below: depth[depth.length - 1] + tracks[tracks.length - 1].below,
    draw: (x, y) =>
      tracks
        .map((one, i) => {
          const at = y + depth[i];
          const end = x + side + one.width;
          const joints =
            i === 0
              ? [line(x, y, x + side, y), line(end, y, x + inner + 2 * side, y)]
              : [
                  down(x, y, at, side),
                  line(end, at, x + side + inner, at),
                  up(x + side + inner, at, y, side),
                ];
          return [...joints, one.draw(x + side, at)].join("\n");
        })
        .join("\n"),
  };
}

// A way round below the piece.
function bypass(track: Track): Track {
  const side = 2 * bend + 4;
  const depth = Math.max(track.below + gap.down, 2 * bend);
  return {
    width: track.width + 2 * side,
    above: track.above,
    below: depth + 2,
    draw: (x, y) =>
      [
        line(x, y, x + side, y),
        track.draw(x + side, y),
        line(x + side + track.width, y, x + 2 * side + track.width, y),
        down(x, y, y + depth, side),
        line(x + side, y + depth, x + side + track.width, y + depth),
        up(x + side + track.width, y + depth, y, side),
      ].join("\n"),
  };
}

// A way back above the piece, with what stands between two of them.
function loop(track: Track, between: Track | undefined): Track {
  const side = bend + 6;
  const inner = Math.max(track.width, between?.width ?? 0);
  const height = Math.max(track.above + gap.down + (between?.below ?? 0), 2 * bend);
  return {
    width: inner + 2 * side,
    above: height + (between?.above ?? 2),
    below: track.below,
    draw: (x, y) => {
      const [left, right, top] = [x + side, x + side + inner, y - height];
      const start = left + (inner - track.width) / 2;
      const drawn = [
        line(x, y, start, y),
        track.draw(start, y),
        line(start + track.width, y, x + inner + 2 * side, y),
        `<path d="M${f(right)} ${f(y)} h2 a${bend} ${bend} 0 0 0 ${bend} ${-bend} V${f(top + bend)} a${bend} ${bend} 0 0 0 ${-bend} ${-bend} H${f(left - 2)} a${bend} ${bend} 0 0 0 ${-bend} ${bend} V${f(y - bend)} a${bend} ${bend} 0 0 0 ${bend} ${bend} h2"/>`,
      ];
      // The arrow shows that this way is run from right to left.
      if (between) drawn.push(between.draw(left + (inner - between.width) / 2, top));
      const tip = between ? left : left + inner / 2 - 4;
      drawn.push(
        `<path d="M${f(tip + 6)} ${f(top - 4)} L${f(tip)} ${f(top)} L${f(tip + 6)} ${f(top + 4)}"/>`,
      );
      return drawn.join("\n");
    },
  };
}

function line(x1: number, y1: number, x2: number, y2: number): string {
  return `<path d="M${f(x1)} ${f(y1)} L${f(x2)} ${f(y2)}"/>`;
}

function down(x: number, y: number, to: number, side: number): string {
  const rest = side - 2 * bend;
  return `<path d="M${f(x)} ${f(y)} a${bend} ${bend} 0 0 1 ${bend} ${bend} V${f(to - bend)} a${bend} ${bend} 0 0 0 ${bend} ${bend} h${rest}"/>`;
}

function up(x: number, y: number, to: number, side: number): string {
  const rest = side - 2 * bend;
  return `<path d="M${f(x)} ${f(y)} h${rest} a${bend} ${bend} 0 0 0 ${bend} ${-bend} V${f(to + bend)} a${bend} ${bend} 0 0 1 ${bend} ${-bend}"/>`;
}

function stop(x: number, y: number): string {
  return `<path d="M${f(x)} ${f(y - 8)} V${f(y + 8)}"/>`;
}

function f(n: number): string {
  return String(round(n));
}

function round(n: number): number {
  return Math.round(n * 10) / 10;
}

function markup(text: string): string {
  return text.replaceAll("&", "&amp;").replaceAll("<", "&lt;").replaceAll(">", "&gt;");
}
