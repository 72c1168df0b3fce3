// The results of a run in words on the page: cases with their verdicts, the table of checks, doubts, and the pictures of tubes.
/// <reference lib="dom" />
import { BeamSpot } from "../page/beamspot.js";
import { button } from "../page/dom.js";
import type { Moved } from "../page/stackview.js";
import { typeset } from "../report/markup.js";
import { newElement } from "./dials.js";
import type { LiveCase, LivePicture, LiveVerdicts } from "./messages.js";

/** A pixel as one number, red in the lowest byte as on every machine with a browser: one step of grey, and full opacity. */
const greyStep = 0x010101;
const opaque = 0xff000000;

/** A case's name on its button. */
export function caseName(name: string): string {
  return name === "" ? "As drawn" : name;
}

/** The buttons of the cases, of which one is pressed. */
export class CaseButtons {
  private buttons = new Map<string, HTMLButtonElement>();

  constructor(
    private readonly host: HTMLElement,
    private readonly chosen: (name: string) => void,
  ) {}

  build(cases: readonly LiveCase[]): void {
    this.buttons = new Map(cases.map(({ name }) => [name, this.make(name)]));
    this.host.replaceChildren(...this.buttons.values());
  }

  press(name: string): void {
    for (const [own, button] of this.buttons) button.setAttribute("aria-pressed", String(own === name));
  }

  /** Shows the verdicts of a case; undefined while there are none yet. */
  judge(name: string, verdicts: LiveVerdicts["verdicts"] | undefined): void {
    const mark = this.buttons.get(name)?.querySelector("small");
    if (!mark) return;
    const failed = verdicts?.filter(({ pass }) => !pass).length ?? 0;
    mark.className = verdicts === undefined ? "" : failed > 0 ? "fail" : "pass";
    mark.textContent =
      verdicts === undefined
        ? ""
        : verdicts.length === 0
          ? "no checks"
          : failed > 0
            ? `${failed} fail`
            : "pass";
  }

  /** Forgets the verdicts of all cases. */
  clear(): void {
    for (const name of this.buttons.keys()) this.judge(name, undefined);
  }

  private make(name: string): HTMLButtonElement {
    const button = newElement("button", "case");
    button.type = "button";
    const word = newElement("span", "");
    word.textContent = caseName(name);
    button.append(word, newElement("small", ""));
    button.addEventListener("click", () => this.chosen(name));
    return button;
  }
}

/** The rows of the table of checks. @param show shows what decided a check */
export function verdictRows(
  { verdicts }: LiveVerdicts,
  show: (check: number, name: string) => void,
): HTMLElement[] {
  return verdicts.map((one, i) => {
    const row = newElement("tr", one.pass ? "" : "bad");
    row.dataset["check"] = String(i);
    const cell = (text: string, kind = "") => {
      const made = newElement("td", kind);
      made.textContent = text;
      row.append(made);
      return made;
    };
    const what = newElement("small", "");
    what.textContent = one.what;
    cell(one.name).append(what);
    cell(typeset(one.measured), "n");
    cell(joined(one.limit));
    cell(typeset(one.margin), "n");
    const verdict = newElement("span", one.pass ? "pass" : "fail");
    verdict.textContent = one.pass ? "pass" : "FAIL";
    const go = button("Show", `Show what decided “${one.name}”`, () => show(i, one.name));
    cell("").append(verdict, go);
    cell(joined(one.note), "note");
    return row;
  });
}

/** Keeps a number and its unit on one line. */
function joined(text: string): string {
  return typeset(text).replace(/(\d) (?=\S)/g, "$1\u00a0");
}

export function listOf(texts: readonly string[]): HTMLElement[] {
  return texts.map((text) => {
    const row = newElement("li", "");
    row.textContent = typeset(text);
    return row;
  });
}

/** The picture of a tube on a canvas. */
interface ShownScreen {
  readonly canvas: HTMLCanvasElement;
  readonly words: HTMLElement;
  readonly beam: BeamSpot;
}

/** The pictures of the tubes, each on a canvas of its own, and the beam on them. */
export class Screens {
  private readonly shown = new Map<string, ShownScreen>();
  private beams: Parameters<Moved> | undefined = undefined;

  constructor(private readonly host: HTMLElement) {}

  get first(): HTMLCanvasElement | undefined {
    return [...this.shown.values()][0]?.canvas;
  }

  /** Shows where the beams are at an instant. */
  point(...beams: Parameters<Moved>): void {
    this.beams = beams;
    for (const { beam } of this.shown.values()) this.pointOn(beam);
  }

  show({ tube, width, height, grey, aspect, around = 0, words, whole }: LivePicture): void {
    const { canvas, words: caption, beam } = this.shown.get(tube) ?? this.make(tube);
    canvas.width = width;
    canvas.height = height;
    canvas.style.aspectRatio = String(aspect);
    const how = whole ? words : `${words}, a quarter of the lines`;
    canvas.setAttribute("aria-label", `What the beam draws on ${tube}, ${how}`);
    caption.textContent = `${tube}, ${how}`;
    const image = new ImageData(width, height);
    const pixels = new Uint32Array(image.data.buffer);
    for (let i = 0; i < grey.length; i++) pixels[i] = opaque | (grey[i] * greyStep);
    canvas.getContext("2d")?.putImageData(image, 0, 0);
    beam.around = around;
    this.pointOn(beam);
  }

  private pointOn(beam: BeamSpot): void {
    if (this.beams) beam.show(this.beams[1], this.beams[0]);
  }

  private make(tube: string): ShownScreen {
    const figure = newElement("figure", "screen");
    const canvas = newElement("canvas", "");
    canvas.setAttribute("role", "img");
    const words = newElement("span", "");
    const caption = newElement("figcaption", "");
    caption.append(words);
    figure.append(canvas, caption);
    this.host.append(figure);
    const made = { canvas, words, beam: new BeamSpot(tube, figure) };
    this.pointOn(made.beam);
    this.shown.set(tube, made);
    return made;
  }
}
