// The knobs: a slider, a box for the exact value, and a way back to what the text says. All can be reached and turned from the
// keyboard; what a box cannot read is reported beside it.
/// <reference lib="dom" />
import { DesignError } from "../base/diagnostic.js";
import { shownValue, typedValue } from "./fragment.js";
import { placeOn, valueOn } from "./knobs.js";
import type { Knob, LiveCase } from "./messages.js";

/** Steps of a slider. */
const steps = 1000;

interface Dial {
  readonly knob: Knob;
  readonly row: HTMLElement;
  readonly range?: HTMLInputElement;
  readonly box: HTMLInputElement;
  readonly back: HTMLButtonElement;
  readonly why: HTMLElement;
}

/** All knobs, and the values that were changed. */
export class Dials {
  /** Changed values by name, SI. */
  values: Record<string, number> = {};
  private dials: Dial[] = [];

  constructor(
    private readonly front: HTMLElement,
    private readonly inside: HTMLElement,
    private readonly turned: () => void,
  ) {}

  /** Builds the knobs of a design; values that it no longer has are dropped. */
  build(knobs: readonly Knob[]): void {
    const known = new Set(knobs.map(({ name }) => name));
    this.values = Object.fromEntries(Object.entries(this.values).filter(([name]) => known.has(name)));
    const alike =
      knobs.length === this.dials.length && knobs.every((knob, i) => sameWay(knob, this.dials[i].knob));
    // A knob that is being turned while the text changes stays under the hand.
    if (!alike) {
      this.dials = knobs.map((knob, i) => this.make(knob, i));
      const rows = (inside: boolean) =>
        this.dials.flatMap(({ knob, row }) => (knob.inside === inside ? [row] : []));
      this.front.replaceChildren(...rows(false));
      this.inside.replaceChildren(...rows(true));
    }
    this.paint();
  }

  /** Sets values from a link or a reset; `turned` is not called. */
  set(values: Readonly<Record<string, number>>): void {
    this.values = { ...values };
    this.paint();
  }

  /** Disables the knobs whose values the case sets itself. */
  showCase(one: LiveCase | undefined): void {
    for (const { knob, range, box, why } of this.dials) {
      const own = one?.sets[knob.name];
      for (const input of [range, box]) if (input) input.disabled = own !== undefined;
      why.textContent = own === undefined ? "" : `this case: ${shownValue(knob, own)}`;
    }
  }

  private make(knob: Knob, i: number): Dial {
    const id = `knob-${i}`;
    const row = newElement("div", "knob");
    const label = newElement("label", "knob-name");
    label.textContent = knob.name;
    const box = newElement("input", "knob-value");
    box.type = "text";
    box.inputMode = "text";
    box.spellcheck = false;
    box.autocomplete = "off";
    box.setAttribute("aria-label", `${knob.name}, value${knob.unit === "" ? "" : ` in ${knob.unit}`}`);
    const back = newElement("button", "knob-back");
    back.type = "button";
    back.textContent = "back";
    back.setAttribute("aria-label", `${knob.name} back to what the text says`);
    const why = newElement("p", "knob-why");
    why.id = `${id}-why`;
    box.setAttribute("aria-describedby", why.id);
    const way = wayOf(knob, id);
    label.htmlFor = way ? way.range.id : `${id}-value`;
    box.id = `${id}-value`;
    row.append(label, box, back, ...(way ? [way.range, way.ends] : []), why);
    const dial: Dial = { knob, row, range: way?.range, box, back, why };
    this.listen(dial);
    return dial;
  }

  private listen(dial: Dial): void {
    const { knob, range, box, back } = dial;
    // `change` follows the last `input` of a turn with the same value: heard as well, it would run everything twice.
    range?.addEventListener("input", () => this.put(dial, valueOn(dial.knob, Number(range.value) / steps)));
    box.addEventListener("change", () => {
      try {
        this.put(dial, typedValue(knob, box.value));
      } catch (error) {
        if (!(error instanceof DesignError)) throw error;
        refuse(dial, error.diagnostics[0].message);
      }
    });
    back.addEventListener("click", () => {
      delete this.values[knob.name];
      this.paint();
      (range ?? box).focus();
      this.turned();
    });
  }

  private put(dial: Dial, value: number): void {
    const { name } = dial.knob;
    this.values[name] = value;
    this.paintOne(dial);
    this.turned();
  }

  private paint(): void {
    for (const dial of this.dials) this.paintOne(dial);
  }

  private paintOne(dial: Dial): void {
    const { knob, range, box, back, row } = dial;
    const changed = Object.hasOwn(this.values, knob.name);
    const value = changed ? this.values[knob.name] : knob.value;
    const words = shownValue(knob, value, 5);
    box.value = words;
    box.removeAttribute("aria-invalid");
    dial.why.textContent = "";
    dial.why.classList.remove("bad");
    back.hidden = !changed;
    row.classList.toggle("changed", changed);
    if (!range) return;
    range.value = String(Math.round(placeOn(knob, value) * steps));
    range.setAttribute("aria-valuetext", words);
  }
}

function refuse({ box, why, knob }: Dial, message: string): void {
  box.setAttribute("aria-invalid", "true");
  why.classList.add("bad");
  why.textContent = message.startsWith(`${knob.name}: `) ? message.slice(knob.name.length + 2) : message;
}

function wayOf(knob: Knob, id: string): { range: HTMLInputElement; ends: HTMLElement } | undefined {
  const { from, to } = knob;
  if (from === undefined || to === undefined) return undefined;
  const range = newElement("input", "knob-way");
  range.type = "range";
  range.id = id;
  range.min = "0";
  range.max = String(steps);
  const ends = newElement("p", "knob-ends");
  ends.setAttribute("aria-hidden", "true");
  for (const end of [from, to]) {
    const word = newElement("span", "");
    word.textContent = shownValue(knob, end);
    ends.append(word);
  }
  return { range, ends };
}

function sameWay(a: Knob, b: Knob): boolean {
  return JSON.stringify(a) === JSON.stringify(b);
}

/** An element of a class. */
export function newElement<K extends keyof HTMLElementTagNameMap>(
  tag: K,
  kind: string,
): HTMLElementTagNameMap[K] {
  const made = document.createElement(tag);
  if (kind !== "") made.className = kind;
  return made;
}
