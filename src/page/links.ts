// Links the text, the schematic and the waveforms: a part or block chosen in one is marked in all.
import { visible } from "../report/markup.js";
import { button, make } from "./dom.js";

/** The places that each part joins; for a block, those of all its parts. */
export type Joined = Readonly<Record<string, readonly string[]>>;

/** Marks the waveforms of these names in every run; true if there were any. */
type MarkWaves = (names: readonly string[]) => Promise<boolean>;

/** Links the text and the schematic of a page. */
export class Links {
  private readonly say = make("p", { class: "told", role: "status" });
  private readonly lines: readonly HTMLElement[];
  private readonly drawn: readonly SVGElement[];
  private chosen = "";

  constructor(
    private readonly joined: Joined,
    private readonly waves: MarkWaves,
  ) {
    this.lines = [...document.querySelectorAll<HTMLElement>(".text [data-part]")];
    this.drawn = [...document.querySelectorAll<SVGElement>(".drawing [data-part], .drawing [data-block]")];
    for (const line of this.lines) this.listen(line, line.dataset["part"]!);
    for (const one of this.drawn) {
      this.listen(one, nameOf(one));
      if (one instanceof SVGGraphicsElement) widen(one);
    }
    // A picture may not contain controls; a group may.
    for (const svg of document.querySelectorAll(".drawing svg")) svg.setAttribute("role", "group");
    document.querySelector(".text")?.parentElement?.after(this.say);
  }

  /** Marks a part or block wherever it appears. */
  async choose(name: string): Promise<void> {
    const is = (other: string) => other === name || other.startsWith(`${name}.`);
    // The inside of a block is written in the block's own text; here its `use` represents it.
    const line = this.lines.find(
      ({ dataset }) => name === dataset["part"] || name.startsWith(`${dataset["part"]}.`),
    );
    for (const one of this.lines) one.classList.toggle("chosen", one === line);
    for (const one of this.drawn) one.classList.toggle("chosen", is(nameOf(one)));
    const list = line?.closest("ol");
    if (line && list) list.scrollTop = line.offsetTop - list.offsetTop - list.clientHeight / 2;
    const places = [...new Set(Object.entries(this.joined).flatMap(([part, all]) => (is(part) ? all : [])))];
    const parts = Object.keys(this.joined).filter(is);
    const waves = [
      ...places,
      ...parts.flatMap((part) => ["current", "power", "voltage"].map((of) => `${part}.${of}`)),
    ];
    this.chosen = name;
    const shown = await this.waves(waves);
    if (this.chosen !== name) return;
    const named = places
      .filter((place) => place !== "ground")
      .map(visible)
      .join(", ");
    const marked = shown ? "its waveforms are marked" : "none of its waveforms is in the page";
    const ways = [
      ["Text", line],
      ["Schematic", this.drawn.find((one) => is(nameOf(one)) && one.getClientRects().length > 0)],
      ["Waveforms", shown ? document.querySelector(".panel.chosen") : undefined],
    ] as const;
    this.say.replaceChildren(`${visible(name)} joins ${named || "ground"}; ${marked}. `);
    for (const [words, target] of ways)
      if (target)
        this.say.append(
          button(words, `Go to ${visible(name)}`, () => target.scrollIntoView({ block: "center" })),
          " ",
        );
  }

  private listen(element: HTMLElement | SVGElement, name: string): void {
    element.setAttribute("tabindex", "0");
    element.setAttribute("role", "button");
    // A line of text says what it is by itself; a symbol does not.
    if (element instanceof SVGElement) element.setAttribute("aria-label", visible(name));
    element.addEventListener("click", (event) => {
      event.stopPropagation();
      void this.choose(name);
    });
    element.addEventListener("keydown", (event) => {
      const { key } = event as KeyboardEvent;
      if (key !== "Enter" && key !== " ") return;
      event.preventDefault();
      void this.choose(name);
    });
  }
}

function nameOf({ dataset }: SVGElement): string {
  return dataset["part"] ?? dataset["block"] ?? "";
}

/** Makes the whole of a symbol respond to a pointer, not only its thin lines. */
function widen(symbol: SVGGraphicsElement): void {
  const { x, y, width, height } = symbol.getBBox();
  if (!(width > 0 || height > 0) || symbol.tagName !== "g") return;
  const hit = document.createElementNS("http://www.w3.org/2000/svg", "rect");
  for (const [word, value] of Object.entries({ x: x - 4, y: y - 4, width: width + 8, height: height + 8 }))
    hit.setAttribute(word, `${value}`);
  hit.setAttribute("class", "hit");
  symbol.append(hit);
}
