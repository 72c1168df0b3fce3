// A drawing read back as somebody with a pencil would: wires that meet end to end are one, wires that cross are not, unless
// there is a dot; a rail of one name is one net wherever it stands. Shares no code with what draws.

export interface Spot {
  readonly x: number;
  readonly y: number;
}

export interface Area {
  readonly left: number;
  readonly top: number;
  readonly right: number;
  readonly foot: number;
  readonly what: string;
}

interface Segment {
  readonly a: Spot;
  readonly b: Spot;
}

/** What a drawing consists of. */
export interface Sheet {
  readonly wires: Segment[];
  readonly dots: Spot[];
  /** Rings at the ends of wires that lead nowhere. */
  readonly terminals: Spot[];
  readonly pins: { readonly part: string; readonly role: string; readonly at: Spot }[];
  readonly rails: { readonly place: string; readonly at: Spot }[];
  readonly texts: Area[];
  readonly symbols: Area[];
  readonly width: number;
  readonly height: number;
}

/** Where the reader is within groups that are moved and turned, and in which part. */
interface Place {
  x: number;
  y: number;
  turn: number;
  part: string;
}

const unescaped = (text: string) =>
  text
    .replaceAll("&lt;", "<")
    .replaceAll("&gt;", ">")
    .replaceAll("&quot;", '"')
    .replaceAll("&#39;", "'")
    .replaceAll("&amp;", "&");

const attribute = (tag: string, name: string) => {
  const found = new RegExp(`\\s${name}="([^"]*)"`).exec(tag);
  return found ? unescaped(found[1]) : undefined;
};

/** Reads an SVG that the schematic has written. */
export function readSheet(svg: string): Sheet {
  const sheet: Sheet = {
    wires: [],
    dots: [],
    terminals: [],
    pins: [],
    rails: [],
    texts: [],
    symbols: [],
    width: Number(/ width="(\d+)"/.exec(svg)![1]),
    height: Number(/ height="(\d+)"/.exec(svg)![1]),
  };
  const stack: Place[] = [{ x: 0, y: 0, turn: 0, part: "" }];
  for (const [tag, name] of svg.matchAll(/<(\/?[a-z]+)[^>]*>/g)) {
    const here = stack[stack.length - 1];
    if (name === "g") {
      const next = { ...here, part: here.part };
      for (const [, word, first, second] of (attribute(tag, "transform") ?? "").matchAll(
        /(translate|rotate)\((-?[\d.]+)(?:[ ,](-?[\d.]+))?\)/g,
      ))
        if (word === "rotate") next.turn += Number(first);
        else Object.assign(next, moved(next, Number(first), Number(second ?? 0)));
      if (attribute(tag, "class")?.startsWith("part")) {
        const words = (attribute(tag, "data-pins") ?? "").split(" ");
        const part = attribute(tag, "data-part")!;
        next.part = part;
        for (let i = 0; i + 2 < words.length; i += 3)
          sheet.pins.push({ part, role: words[i], at: { x: Number(words[i + 1]), y: Number(words[i + 2]) } });
      }
      if (attribute(tag, "class") === "rail") {
        const [x, y] = attribute(tag, "data-at")!.split(" ").map(Number);
        sheet.rails.push({ place: attribute(tag, "data-place")!, at: { x, y } });
      }
      stack.push(next);
    } else if (name === "/g") stack.pop();
    else if (name === "path" && attribute(tag, "class") === "wire") {
      const points = [...attribute(tag, "d")!.matchAll(/[ML](-?[\d.]+) (-?[\d.]+)/g)].map(([, x, y]) => ({
        x: Number(x),
        y: Number(y),
      }));
      for (let i = 1; i < points.length; i++) sheet.wires.push({ a: points[i - 1], b: points[i] });
    } else if (name === "path" && attribute(tag, "class") !== "dash")
      symbol(sheet, here, corners(attribute(tag, "d")!));
    else if (name === "circle" && attribute(tag, "class") === "dot")
      sheet.dots.push({ x: Number(attribute(tag, "cx")), y: Number(attribute(tag, "cy")) });
    else if (name === "circle" && attribute(tag, "class") === "terminal")
      sheet.terminals.push({ x: Number(attribute(tag, "cx")), y: Number(attribute(tag, "cy")) });
    else if (name === "circle") {
      const [x, y, r] = ["cx", "cy", "r"].map((word) => Number(attribute(tag, word)));
      symbol(sheet, here, [
        { x: x - r, y: y - r },
        { x: x + r, y: y + r },
      ]);
    } else if (name === "rect" && stack.length > 1) {
      const [x, y, w, h] = ["x", "y", "width", "height"].map((word) => Number(attribute(tag, word)));
      symbol(sheet, here, [
        { x, y },
        { x: x + w, y: y + h },
      ]);
    }
  }
  for (const [whole, inside] of svg.matchAll(/<text[^>]*>([^<]*)<\/text>/g)) {
    const size = Number(attribute(whole, "font-size"));
    const words = unescaped(inside);
    // Half of its size for a letter is what common sans-serif faces take on average.
    const wide = words.length * size * 0.52;
    const x = Number(attribute(whole, "x"));
    const y = Number(attribute(whole, "y"));
    const anchor = attribute(whole, "text-anchor") ?? "start";
    const left = anchor === "start" ? x : anchor === "end" ? x - wide : x - wide / 2;
    sheet.texts.push({ left, right: left + wide, top: y - size * 0.74, foot: y, what: words });
  }
  return sheet;
}

function moved(at: { x: number; y: number; turn: number }, dx: number, dy: number) {
  const turn = ((at.turn % 360) + 360) % 360;
  const [cos, sin] = [[1, 0, -1, 0][turn / 90], [0, 1, 0, -1][turn / 90]];
  return { x: at.x + cos * dx - sin * dy, y: at.y + sin * dx + cos * dy };
}

/** Points that a path goes through (its commands are absolute but for v). */
function corners(d: string): Spot[] {
  const found: Spot[] = [];
  let at = { x: 0, y: 0 };
  for (const [, command, rest] of d.matchAll(/([MLHVvAQZ])([^MLHVvAQZ]*)/g)) {
    const n = rest.match(/-?[\d.]+/g)?.map(Number) ?? [];
    if (command === "H") at = { x: n[0], y: at.y };
    else if (command === "V") at = { x: at.x, y: n[0] };
    else if (command === "v") at = { x: at.x, y: at.y + n[0] };
    else if (command !== "Z") at = { x: n[n.length - 2], y: n[n.length - 1] };
    found.push(at);
  }
  return found;
}

function symbol(sheet: Sheet, here: Place, points: readonly Spot[]): void {
  const placed = points.map(({ x, y }) => moved(here, x, y));
  const xs = placed.map(({ x }) => x);
  const ys = placed.map(({ y }) => y);
  sheet.symbols.push({
    left: Math.min(...xs),
    right: Math.max(...xs),
    top: Math.min(...ys),
    foot: Math.max(...ys),
    what: here.part,
  });
}

/** Pins by the nets that the drawing shows, and what about it could be read in two ways. */
export function netsOf(sheet: Sheet): { nets: string[][]; doubts: string[] } {
  const doubts: string[] = [];
  const parent = new Map<string, string>();
  const find = (key: string): string => {
    const up = parent.get(key);
    if (up === undefined || up === key) return key;
    const root = find(up);
    parent.set(key, root);
    return root;
  };
  const join = (a: string, b: string) => parent.set(find(a), find(b));
  const wire = (i: number) => `wire ${i}`;
  const dots = new Set(sheet.dots.map(({ x, y }) => `${x} ${y}`));
  for (const [i, one] of sheet.wires.entries())
    for (let j = i + 1; j < sheet.wires.length; j++) {
      const other = sheet.wires[j];
      for (const at of meetings(one, other)) {
        const dotted = dots.has(`${at.x} ${at.y}`);
        const ends = isEnd(one, at) && isEnd(other, at);
        if (ends || dotted) join(wire(i), wire(j));
        else if (isEnd(one, at) || isEnd(other, at))
          doubts.push(`a wire ends on another at ${at.x} ${at.y} without a dot`);
      }
    }
  const pin = (i: number) => `pin ${i}`;
  for (const [i, { at, part, role }] of sheet.pins.entries())
    for (const [j, one] of sheet.wires.entries()) {
      if (isEnd(one, at)) join(pin(i), wire(j));
      else if (lies(one, at)) {
        if (dots.has(`${at.x} ${at.y}`)) join(pin(i), wire(j));
        else doubts.push(`${part}.${role} stands on a wire without a dot`);
      }
    }
  for (const { place, at } of sheet.rails) {
    let found = 0;
    for (const [i, other] of sheet.pins.entries())
      if (other.at.x === at.x && other.at.y === at.y) {
        join(pin(i), `rail ${place}`);
        found++;
      }
    for (const [j, one] of sheet.wires.entries())
      if (isEnd(one, at)) {
        join(wire(j), `rail ${place}`);
        found++;
      }
    if (found === 0) doubts.push(`a rail ${place} joins nothing`);
  }
  // Where three or more wires end there is a dot.
  const meeting = new Map<string, number>();
  for (const { a, b } of sheet.wires)
    for (const { x, y } of [a, b]) meeting.set(`${x} ${y}`, (meeting.get(`${x} ${y}`) ?? 0) + 1);
  for (const [at, count] of meeting)
    if (count > 2 && !dots.has(at)) doubts.push(`${count} wires end at ${at} without a dot`);
  doubts.push(...looseEnds(sheet));
  const groups = new Map<string, string[]>();
  for (const [i, { part, role }] of sheet.pins.entries()) {
    const root = find(pin(i));
    groups.set(root, [...(groups.get(root) ?? []), `${part} ${role}`]);
  }
  return { nets: [...groups.values()].map((list) => list.sort()).sort(), doubts };
}

/** Wires that lead nowhere end in a ring, which touches them, and no ring stands elsewhere. */
function looseEnds({ wires, pins, rails, terminals }: Sheet): string[] {
  const found: string[] = [];
  const ringed = new Set<Spot>();
  for (const [i, one] of wires.entries())
    for (const at of [one.a, one.b]) {
      if (wires.some((other, j) => i !== j && lies(other, at))) continue;
      if ([...pins, ...rails].some((other) => other.at.x === at.x && other.at.y === at.y)) continue;
      const ring = terminals.find(({ x, y }) => y === at.y && Math.abs(x - at.x) === 2.5);
      if (ring) ringed.add(ring);
      else found.push(`a wire ends in nothing at ${at.x} ${at.y}`);
    }
  for (const ring of terminals)
    if (!ringed.has(ring)) found.push(`a terminal at ${ring.x} ${ring.y} ends no wire`);
  return found;
}

const isEnd = ({ a, b }: Segment, at: Spot) =>
  (a.x === at.x && a.y === at.y) || (b.x === at.x && b.y === at.y);

function lies({ a, b }: Segment, { x, y }: Spot): boolean {
  return (
    x >= Math.min(a.x, b.x) && x <= Math.max(a.x, b.x) && y >= Math.min(a.y, b.y) && y <= Math.max(a.y, b.y)
  );
}

/** Where two wires touch: one point, or of two that lie in one line the ends that lie on the other. */
function meetings(one: Segment, other: Segment): Spot[] {
  const upright = (s: Segment) => s.a.x === s.b.x;
  if (upright(one) !== upright(other)) {
    const [v, h] = upright(one) ? [one, other] : [other, one];
    const at = { x: v.a.x, y: h.a.y };
    return lies(v, at) && lies(h, at) ? [at] : [];
  }
  const found = [one.a, one.b]
    .filter((at) => lies(other, at))
    .concat([other.a, other.b].filter((at) => lies(one, at)));
  return found.filter((at, i) => found.findIndex((o) => o.x === at.x && o.y === at.y) === i);
}

/** Pairs of words and symbols that stand on each other, words that a wire crosses, and what leaves the sheet. */
export function overlaps(sheet: Sheet): string[] {
  const found: string[] = [];
  const over = (a: Area, b: Area) =>
    Math.min(a.right, b.right) - Math.max(a.left, b.left) > 0.5 &&
    Math.min(a.foot, b.foot) - Math.max(a.top, b.top) > 0.5;
  for (const [i, a] of sheet.symbols.entries())
    for (const b of sheet.symbols.slice(i + 1))
      if (a.what !== b.what && over(a, b)) found.push(`${a.what} on ${b.what}`);
  for (const [i, a] of sheet.texts.entries()) {
    for (const b of sheet.texts.slice(i + 1)) if (over(a, b)) found.push(`'${a.what}' on '${b.what}'`);
    for (const { a: from, b: to } of sheet.wires) {
      const area = {
        left: Math.min(from.x, to.x) - 0.3,
        right: Math.max(from.x, to.x) + 0.3,
        top: Math.min(from.y, to.y) - 0.3,
        foot: Math.max(from.y, to.y) + 0.3,
        what: "",
      };
      if (over(a, area)) found.push(`a wire through '${a.what}' at ${from.x} ${from.y}`);
    }
    if (a.left < 0 || a.right > sheet.width || a.top < 0 || a.foot > sheet.height)
      found.push(`'${a.what}' leaves the sheet`);
  }
  return found;
}
