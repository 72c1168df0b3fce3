// The position of a tube's beam at the cursor, on the picture of its screen: a ring, filled in proportion to the brightness.
import { engineering } from "../base/quantity.js";
import type { Stack, StackBeam } from "../report/stack.js";
import { make } from "./dom.js";

/** What of a stack tells where the beams are. */
type BeamStack = Pick<Stack, "panels" | "beams">;

const nowhere = { x: Number.NaN, y: Number.NaN, light: Number.NaN };

/** The beam's position in shares of the screen, and its drive as a share of white; undefined outside the traces. */
export function beamAt(panels: BeamStack["panels"], beam: StackBeam, t: number) {
  const at = (name: string) => {
    const trace = panels.find((panel) => panel.trace.name === name)?.trace;
    return trace && t >= trace.from && t <= trace.to ? trace.at(t) : Number.NaN;
  };
  return {
    x: (at(beam.across) - beam.left) / (beam.right - beam.left),
    y: (at(beam.down) - beam.top) / (beam.bottom - beam.top),
    light: (at(beam.drive) - beam.cutoff) / (beam.full - beam.cutoff),
  };
}

/** The beam of one tube on its picture. */
export class BeamSpot {
  /** How far the picture reaches beyond the screen's edges, as a share of the screen. */
  around: number;
  private readonly spot = make("i", { class: "spot" });
  private readonly words = make("span", { class: "beam" });

  /** @param figure the picture of the screen, with its caption */
  constructor(
    private readonly tube: string,
    figure: HTMLElement,
  ) {
    this.around = Number(figure.dataset["around"] ?? 0);
    this.spot.hidden = true;
    const picture = figure.querySelector("img, canvas");
    if (!picture) return;
    const screen = make("span", { class: "glass" });
    picture.replaceWith(screen);
    screen.append(picture, this.spot);
    figure.querySelector("figcaption")?.append(this.words);
  }

  /** Shows the beam at an instant (s). */
  show({ panels, beams }: BeamStack, t: number): void {
    const beam = beams.find(({ tube }) => tube === this.tube);
    const { x, y, light } = beam ? beamAt(panels, beam, t) : nowhere;
    const known = Number.isFinite(x) && Number.isFinite(y);
    const within = (beyond: number) =>
      known && [x, y].every((share) => share >= -beyond && share <= 1 + beyond);
    const seen = within(0);
    const { around } = this;
    this.spot.hidden = !within(around);
    if (within(around)) {
      const percent = (share: number) => `${(100 * (share + around)) / (1 + 2 * around)}%`;
      this.spot.style.left = percent(x);
      this.spot.style.top = percent(y);
      this.spot.classList.toggle("dark", !(light > 0));
    }
    const drive = Number.isFinite(light) ? `, drive ${engineering(Math.max(0, light), "%", 3)} of white` : "";
    const where = seen
      ? `${engineering(x, "%", 3)} across, ${engineering(y, "%", 3)} down`
      : known
        ? "beyond the edges of the screen"
        : "not known";
    this.words.textContent = ` At the cursor the beam is ${where}${known ? drive : ""}.`;
  }
}
