// A probe along samples of steps: nothing is known between them.
import type { Assembly } from "../assembly/assemble.js";
import type { ProbeReader } from "./forms.js";
import type { ProbeView } from "./leapview.js";
import { Playback } from "./playback.js";
import type { Recording, Stretch } from "./recording.js";
import { noRoundoff, type Roundoff } from "./roundoff.js";

const none: readonly number[] = [];

/** Looks along steps. */
export class StepView implements ProbeView {
  value = 0;
  slope = 0;
  private readonly playback: Playback;
  private stretch!: Stretch;

  constructor(
    assembly: Assembly,
    private readonly recording: Recording,
    private readonly read: ProbeReader,
  ) {
    this.playback = new Playback(assembly, recording);
  }

  stretches(from: number, to: number): Iterable<Stretch> {
    return this.recording.stretches(from, to);
  }

  enter(stretch: Stretch): readonly number[] {
    this.stretch = stretch;
    return none;
  }

  grain(): Roundoff {
    return noRoundoff;
  }

  look(tick: number, side: 0 | 1): void {
    const { playback, stretch } = this;
    const { forms, products } = this.read(playback.equations(stretch.index), playback.modes(stretch.index));
    const m = playback.at(stretch, tick, side, [
      ...new Set(forms.flatMap((f) => f.terms.map((t) => t.source))),
    ]);
    const seen = forms.map(({ states, x, constant, terms }) => {
      let [v, d] = [constant, 0];
      for (let k = 0; k < x.length; k++) {
        v += x[k] * m.x[states[k]];
        d += x[k] * m.dx[states[k]];
      }
      for (const { source, level, slope } of terms) {
        v += level * m.u[source] + slope * m.du[source];
        d += level * m.du[source] + slope * m.ddu[source];
      }
      return { v, d };
    });
    this.value = products ? 0 : seen[0].v;
    this.slope = products ? 0 : seen[0].d;
    if (!products) return;
    for (let k = 0; k < seen.length; k += 2) {
      this.value += seen[k].v * seen[k + 1].v;
      this.slope += seen[k].d * seen[k + 1].v + seen[k].v * seen[k + 1].d;
    }
  }
}
