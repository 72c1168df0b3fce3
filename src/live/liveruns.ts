// What the engine does with a text: compiles it, sets its values, runs it in steps, and passes on each result as soon as it is
// there. It rests between steps, so that a run can be stopped.
import { beatOf, instants } from "../assembly/each.js";
import { DesignError } from "../base/diagnostic.js";
import { toNumber } from "../base/fraction.js";
import { engineering } from "../base/quantity.js";
import { inspect } from "../compile.js";
import { countable, type Design } from "../design/design.js";
import { caseLength } from "../design/length.js";
import { withValues } from "../judging/settable.js";
import { type CheckResult, verify } from "../judging/verify.js";
import { clippings } from "../reading/atlimits.js";
import type { Run } from "../reading/result.js";
import { drivesTube } from "../report/cautions.js";
import { clippingText } from "../report/clipped.js";
import { happenings } from "../report/happenings.js";
import { decisiveGroup, panelGroups, shownFor, showsWell } from "../report/selection.js";
import { beamsOf, deciderOf, periodsWithin, type StackPanel } from "../report/stack.js";
import { type PanelGroup, tracePicture } from "../report/svg.js";
import { limitText, marginText, measuredText, noteText } from "../report/verdicts.js";
import { simulateAsync } from "../simulation/asynchronous.js";
import { plan } from "../simulation/options.js";
import { caption } from "../tube/image.js";
import { tubes } from "../tube/screen.js";
import { csvLines } from "../waveforms/csvjson.js";
import { extremes } from "../waveforms/outline.js";
import { casesOf, knobsOf } from "./knobs.js";
import type {
  Keepsake,
  LiveDesign,
  LiveGroup,
  LivePanel,
  LiveText,
  LiveVerdict,
  OfferPlace,
  PackedBrought,
  Reply,
  Turn,
} from "./messages.js";
import { offered } from "./offering.js";
import { unpacked } from "./packedbrought.js";
import { scanned } from "./scanning.js";

/** Samples beyond which a trace is passed on as an outline, which has the true low and high of each of so many columns. */
const mostPoints = 1 << 17;
const columns = 1 << 15;
/** The picture of a tube, px, and every how many lines are drawn: in full, and at the first look. */
const wholeSize = { width: 768, height: 576, every: 1 };
const firstSize = { width: 320, height: 240, every: 4 };

/** Passes on a reply. */
type Tell = (answer: Reply) => void;

/** One text and its runs. */
export class LiveRuns {
  private design?: Design;
  private groups: readonly PanelGroup[] = [];
  /** An extra group, for what decided a check. */
  private decisive?: PanelGroup;
  private shown?: { readonly turn: number; readonly run: Run; readonly results?: readonly CheckResult[] };

  /** @param rest yields to other work */
  constructor(
    private readonly brought: PackedBrought,
    private readonly rest: () => Promise<void>,
  ) {}

  /** Compiles a text. */
  read({ edition, text, name }: LiveText): Reply {
    const { design, diagnostics } = inspect(text, { name, ...unpacked(this.brought) });
    this.design = design;
    this.shown = undefined;
    return { type: "text", edition, diagnostics, design: design && describe(design, text) };
  }

  /**
   * Runs the design with other values and tells the results.
   * @param signal stops the run at its next rest
   */
  async run(turn: Turn, signal: { readonly aborted: boolean }, tell: Tell): Promise<void> {
    try {
      const run = await this.simulated(turn, signal);
      if (!run || signal.aborted) return;
      // A first look begins with the picture: it is what is waited for, and waveforms of every scale take longer.
      if (turn.part === "first") await this.picture(run, turn, signal, tell);
      if (signal.aborted) return;
      // Verdicts are a few words, and go before what takes longer to copy and to draw.
      const results = turn.part === "first" ? undefined : verify(run);
      if (results) tell({ type: "verdicts", turn: turn.turn, ...verdictsOf(run, results) });
      await this.rest();
      if (turn.part === "verdicts" || signal.aborted) return;
      await this.show(run, turn, tell, results);
      if (turn.part === "all" && !signal.aborted) await this.picture(run, turn, signal, tell);
    } catch (error) {
      if (!(error instanceof DesignError)) throw error;
      tell({ type: "refused", turn: turn.turn, diagnostics: error.diagnostics });
    }
  }

  /** What may be written at a position of a text, whether it compiles or not. */
  offer({ number, text, line, character }: OfferPlace): Reply {
    return { type: "offers", number, offers: offered(text, { line, character }, this.brought) };
  }

  /** What is shown now, as a file; undefined if nothing is shown. */
  keep(what: Keepsake, group: number): string | undefined {
    const { shown, groups, decisive } = this;
    const chosen = groups[group] ?? decisive ?? groups[0];
    if (!shown || !chosen) return undefined;
    const { title, caseName } = shown.run.design;
    if (what === "svg")
      return tracePicture(groups, { title: caseName === "" ? title : `${title}: ${caseName}` });
    const names = chosen.panels.flatMap(({ traces }) => traces.map(({ name }) => name));
    return [...csvLines(shown.run.stretch([...new Set(names)], chosen.from, chosen.to))].join("");
  }

  /** Where a check of the run that is shown was decided, with its waveforms; undefined if it was not judged. */
  decide(check: number): Reply | undefined {
    const { turn = 0, run, results } = this.shown ?? {};
    if (!run || !results?.[check]) return undefined;
    const name = shownFor(run, run.design.checks[check]);
    const [trace] = run.sketch([name], 0, run.reached);
    const decider = deciderOf(run, run.design.checks[check], results[check], trace);
    if (!decider) return undefined;
    const shows = (group: PanelGroup) =>
      showsWell(group, decider) && group.panels.some(({ title }) => title === decider.panel);
    const at = this.groups.findIndex(shows);
    const found = { type: "decided", turn, check, decider } as const;
    if (at >= 0) return { ...found, at };
    this.decisive = decisiveGroup(run, results, check, decider);
    return { ...found, at: this.groups.length, group: groupOf(run, this.decisive) };
  }

  private async simulated({ values, case: name, part }: Turn, signal: { readonly aborted: boolean }) {
    const { design } = this;
    if (!design) return undefined;
    const turned = Object.keys(values).length === 0 ? design : withValues(design, values);
    const one = turned.cases.find(({ caseName }) => caseName === name) ?? turned;
    const whole = plan(turned, {}).until;
    const until = one === turned ? whole : caseLength(one, whole);
    const field = part === "first" ? fieldOf(one, toNumber(until)) : undefined;
    await this.rest();
    return signal.aborted ? undefined : simulateAsync(one, { until: field ?? until, signal });
  }

  /** The waveforms. */
  private async show(run: Run, turn: Turn, tell: Tell, results?: readonly CheckResult[]): Promise<void> {
    const groups = panelGroups(run);
    this.groups = groups;
    this.decisive = undefined;
    this.shown = { turn: turn.turn, run, results };
    tell({ type: "waves", turn: turn.turn, groups: groups.map((group) => groupOf(run, group)) });
    await this.rest();
  }

  private async picture(
    run: Run,
    turn: Turn,
    signal: { readonly aborted: boolean },
    tell: Tell,
  ): Promise<void> {
    if (run.recording.count < 2 || !(run.reached > 0)) return;
    const first = turn.part === "first";
    for (const tube of tubes(run.design.parts)) {
      const span = first ? { from: 0, to: run.reached } : {};
      const work = scanned(run, { tube, ...(first ? firstSize : wholeSize), ...span });
      let step = work.next();
      for (; !step.done; step = work.next()) {
        await this.rest();
        if (signal.aborted) return;
      }
      const { grey, aspect, around } = step.value;
      const { width, height } = first ? firstSize : wholeSize;
      tell({
        type: "picture",
        turn: turn.turn,
        picture: { tube, width, height, grey, aspect, around, words: caption(step.value), whole: !first },
      });
    }
  }
}

function describe(design: Design, text: string): LiveDesign {
  const knobs = knobsOf(design);
  return {
    title: design.title,
    knobs,
    cases: casesOf(design, knobs),
    tube: drivesTube(text, design),
    staged: tubes(design.parts).length > 0 && fieldOf(design, Number.POSITIVE_INFINITY) !== undefined,
  };
}

/** When the first field of a video signal ends, s; undefined if the design has none or the run is hardly longer. */
function fieldOf(design: Design, until: number): number | undefined {
  const film = design.parts.find((part) => countable(part) && beatOf(design, `${part.name}.fields`));
  if (!film) return undefined;
  // Every television system has at least 25 fields a second.
  const [first, second] = instants(design, `${film.name}.fields`, 0.08);
  const end = second > first ? second : undefined;
  return end !== undefined && end < 0.75 * until ? end : undefined;
}

function groupOf(run: Run, { title, from, to, panels }: PanelGroup): LiveGroup {
  const marks = happenings(run).filter(({ at }) => at >= from && at <= to);
  const beams = beamsOf(run);
  // The traces that move the beam come along, so that its position can be shown.
  const names = new Set(beams.flatMap(({ across, down, drive }) => [across, down, drive]));
  for (const { traces } of panels) names.delete(traces[0].name);
  const spare = run.sketch([...names], from, to).map((trace) => panelOf({ trace, limits: [], spare: true }));
  const shown = panels.map(({ traces: [trace], limits = [] }) => panelOf({ trace, limits, spare: false }));
  return {
    title,
    from,
    to,
    panels: [...shown, ...spare],
    periods: periodsWithin(run, { from, to }),
    marks,
    beams,
  };
}

function panelOf({ trace, ...panel }: StackPanel): LivePanel {
  const { name, unit, time, value, slope, slopeBefore, exact } = trace;
  if (time.length <= mostPoints)
    return { trace: { name, unit, time, value, slope, slopeBefore, exact }, ...panel };
  return { trace: { name, unit, ...extremes(trace, trace.from, trace.to, columns) }, ...panel };
}

function verdictsOf(run: Run, results: readonly CheckResult[]) {
  const verdicts = results.map(
    (r): LiveVerdict => ({
      name: r.name,
      what: r.what,
      measured: measuredText(r, r.measured),
      limit: limitText(r),
      margin: marginText(r),
      note: noteText(r),
      pass: r.pass,
    }),
  );
  return { case: run.design.caseName, verdicts, doubts: doubtsOf(run), stopped: run.status === "stopped" };
}

/** The doubts about a run, and why it stopped if it did. */
function doubtsOf(run: Run): string[] {
  const stopped =
    run.status === "stopped" ? [`stopped at ${engineering(run.reached, "s")}: ${run.reason}`] : [];
  return [...run.warnings, ...clippings(run).map(clippingText), ...stopped];
}
