// A probe along the leaps of a recording. Leaps are joined where their border does not touch the probe: neither a sample that it
// does not depend on, nor a change to a combination in which it moves alike, ends its stretch.

import type { Assembly } from "../assembly/assemble.js";
import type { Inputs } from "../stepping/inputs.js";
import { type ProbeReader, probeReader, probesReader } from "./forms.js";
import { LeapStretch } from "./leapstretch.js";
import { ModeView } from "./modeview.js";
import type { Probe } from "./probe.js";
import { RailModes } from "./rails.js";
import type { Recording, Stretch } from "./recording.js";
import { type ProbeView, StepView, type StretchView } from "./view.js";

export function viewOf(assembly: Assembly, recording: Recording, probe: Probe): ProbeView {
  const read = probeReader(assembly, probe);
  if (!recording.exact) return new StepView(assembly, recording, read);
  const flows = probe.type === "current" || probe.type === "power";
  return new LeapView(assembly, recording, read, flows ? new RailModes(assembly.system) : undefined);
}

/** A reader of a part along leaps. @param rails those of the assembly's outputs */
export function partView(
  assembly: Assembly,
  recording: Recording,
  read: ProbeReader,
  rails: RailModes,
): ProbeView {
  return new LeapView(assembly, recording, read, rails);
}

/** Several probes along leaps, for single looks. @param probes none of them a power */
export function looksAlong(
  assembly: Assembly,
  recording: Recording,
  probes: readonly Probe[],
): Pick<LeapView, "glance"> {
  const flows = probes.some(({ type }) => type === "current");
  const rails = flows ? new RailModes(assembly.system) : undefined;
  return new LeapView(assembly, recording, probesReader(assembly, probes), rails);
}

class LeapView implements ProbeView {
  private readonly inputs: Inputs;
  private readonly modes: ModeView[] = [];
  private readonly inside: LeapStretch;

  /** @param rails absent where no current is read */
  constructor(
    private readonly assembly: Assembly,
    private readonly recording: Recording,
    private readonly read: ProbeReader,
    private readonly rails: RailModes | undefined,
  ) {
    this.inputs = assembly.inputs();
    this.inside = new LeapStretch(assembly, recording, this.inputs);
  }

  enter(stretch: Stretch): StretchView {
    return this.inside.enter(stretch, this.modeAt(stretch.index));
  }

  /** The leap that holds a tick, for single looks only; undefined before the first and after the last. */
  glance(
    tick: number,
  ): { readonly stretch: Stretch; readonly inside: Pick<StretchView, "look"> } | undefined {
    const [stretch] = this.recording.stretches(tick, tick + 1);
    return stretch && { stretch, inside: this.inside.glance(stretch, this.modeAt(stretch.index)) };
  }

  *stretches(from: number, to: number): Generator<Stretch> {
    const { recording } = this;
    const { count } = recording;
    for (
      let i = recording.last(from), start = recording.tick(i);
      i + 1 < count && (start < to || start <= from);
    ) {
      const tick = recording.tick(i + 1);
      if (tick === start || tick <= from) {
        i++;
        start = tick;
        continue;
      }
      const stretch = this.joined(i, to);
      yield stretch;
      i = stretch.end;
      start = stretch.to;
    }
  }

  /** The stretch that begins with a sample, as long as no border touches what is read. */
  private joined(index: number, to: number): Stretch {
    const { recording, inputs } = this;
    const { count } = recording;
    const mode = this.modeAt(index);
    const from = recording.tick(index);
    let smooth = Number.POSITIVE_INFINITY;
    for (const s of mode.dependence.sources) smooth = Math.min(smooth, inputs.players[s - 1].next(from));
    let end = index + 1;
    let tick = recording.tick(end);
    while (tick < smooth && tick < to) {
      let last = end;
      while (last + 1 < count && recording.tick(last + 1) === tick) last++;
      if (last + 1 >= count || !this.goesOn(mode, end, last)) break;
      end = last + 1;
      tick = recording.tick(end);
    }
    return { index, end, from, to: tick };
  }

  /** Whether what is read runs through the samples of one instant as if there were none. */
  private goesOn(mode: ModeView, first: number, last: number): boolean {
    const { recording } = this;
    const other = recording.mode(last) !== recording.mode(first);
    if (other && this.modeAt(last).dependence.motion !== mode.dependence.motion) return false;
    // No state that matters was given anew.
    const news = recording.given(last) & mode.mask;
    if (first === last || news === 0) return true;
    if ((recording.given(first) & news) !== news) return false;
    return mode.dependence.states.every(
      (k) => (news & (1 << k)) === 0 || recording.state(first, k) === recording.state(last, k),
    );
  }

  private modeAt(index: number): ModeView {
    const mode = this.recording.mode(index);
    this.modes[mode] ??= new ModeView(
      this.assembly,
      this.assembly.system.combinations[mode],
      this.read,
      this.rails,
    );
    return this.modes[mode];
  }
}
