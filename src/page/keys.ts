// The keys of a plot, and their description.
import { make } from "./dom.js";

/** What keys do. */
export interface KeyActions {
  /** Moves the cursor by a share of what is seen. */
  step(by: number): void;
  /** Moves it to the next corner or jump of the panel in use, or to the previous one. */
  corner(way: 1 | -1): void;
  zoom(factor: number): void;
  pan(by: number): void;
  whole(): void;
  second(): void;
  clear(): void;
  fit(): void;
}

/** The keys described. */
const keyWords: readonly (readonly [keys: string, words: string])[] = [
  ["← →", "move the cursor, with Shift by a pixel"],
  [", .", "to the corner before or behind it"],
  ["+ −", "zoom at the cursor"],
  ["Page Up, Page Down", "half a width back or on"],
  ["Home", "the whole run"],
  ["m", "put the second cursor where the first stands"],
  ["f", "fit the heights to what is seen, or back"],
  ["Escape", "take the second cursor away"],
];

/** Does what a key asks; true if it has a meaning. */
export function pressed(
  { key, shiftKey, ctrlKey, altKey, metaKey }: KeyboardEvent,
  does: KeyActions,
): boolean {
  if (ctrlKey || altKey || metaKey) return false;
  const step = shiftKey ? 1 / 1000 : 1 / 50;
  const actions: Readonly<Record<string, () => void>> = {
    ArrowLeft: () => does.step(-step),
    ArrowRight: () => does.step(step),
    ",": () => does.corner(-1),
    ".": () => does.corner(1),
    "+": () => does.zoom(1 / 1.6),
    "=": () => does.zoom(1 / 1.6),
    "-": () => does.zoom(1.6),
    PageUp: () => does.pan(-0.5),
    PageDown: () => does.pan(0.5),
    Home: () => does.whole(),
    m: () => does.second(),
    M: () => does.second(),
    f: () => does.fit(),
    F: () => does.fit(),
    Escape: () => does.clear(),
  };
  if (!Object.hasOwn(actions, key)) return false;
  actions[key]();
  return true;
}

/** A help box on keys and pointers. */
export function keyHelp(): HTMLElement {
  const list = make("dl", {});
  for (const [keys, words] of keyWords) list.append(make("dt", {}, keys), make("dd", {}, words));
  const pointer =
    "Drag over a stretch to see it alone; Shift and drag, or a finger, moves it; two fingers or the wheel zoom (the wheel once the plot is in use, or with Ctrl); a double click shows all.";
  return make(
    "details",
    { class: "keys" },
    make("summary", {}, "Keys and gestures"),
    make("p", {}, pointer),
    list,
  );
}
