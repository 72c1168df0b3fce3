// The work behind a table of symptoms, row by row, so that threads can share it. A row depends only on the design, the options
// and its index, so rows may come in any order. It holds no column that its fault cannot affect.
import { asked, refuseOption, type Sorts, wholeNumber } from "../base/asked.js";
import { type DesignError, Report, refusal } from "../base/diagnostic.js";
import type { Design, MeasureSpec } from "../design/design.js";
import { checkStructure } from "../design/structure.js";
import { joinedWith } from "../faults/failures.js";
import { refusalOf } from "../judging/evaluation.js";
import { Influence } from "../judging/influence.js";
import { simulate } from "../simulation/simulate.js";
import { fingerprintOf } from "../spread/experiment.js";
import type { Looked, SymptomColumn } from "./columns.js";
import { measuredColumns, sampledAny } from "./sampling.js";
import { casesFor, type Scene, scenesOf } from "./scenes.js";
import { type Suspect, type Suspected, suspectsOf } from "./suspects.js";
import type { SymptomRow, SymptomsOptions, SymptomTable } from "./symptomtable.js";
import { apportioned, ofRail, otherThan, type RowShown, Tolerated, together } from "./tolerated.js";

/** The most runs by default. */
const usualMost = 600;
/** Tolerances may take so many times the runs allowed; most faults need few. */
const forTolerances = 5;
/** Significant figures kept of measured values, and of the effects of tolerances. */
const [valueFigures, spreadFigures] = [7, 4];

const sorts: Sorts<Required<SymptomsOptions>> = {
  parts: "texts",
  cases: "texts",
  factors: "object",
  measures: "texts",
  most: "number",
  simulate: "object",
  progress: "function",
  signal: "object",
};

/** What a run shows. */
interface Shown extends Pick<SymptomRow, "status" | "reason" | "values"> {
  readonly sampled: boolean;
}

/** The rows of a table of symptoms. */
export class SymptomStudy {
  private readonly suspects: readonly Suspected[];
  private readonly scenes: readonly Scene[];
  private readonly left: readonly string[];
  private readonly tolerated: Tolerated;
  private readonly influences = new Map<Scene, Influence>();
  /** What can affect a target, by scene and failed part; those of the last row alone. */
  private reaching: { readonly of: string; readonly movers: Map<string, ReadonlySet<number> | undefined> } = {
    of: "",
    movers: new Map(),
  };
  private readonly found = new Map<number, SymptomRow>();
  private readonly sounds = new Map<Scene, SymptomRow>();
  /** The parts that can affect a column where nothing has failed. */
  private readonly undisturbed = new Map<Looked, ReadonlySet<number> | undefined>();
  /** Whether a row finds its own effects of tolerances where it differs from the sound design. */
  private readonly each: boolean;
  private told: string | undefined = undefined;

  /** @throws DesignError `table-too-large`, `bad-option`, or the errors of a phrase */
  constructor(
    private readonly design: Design,
    private readonly options: SymptomsOptions = {},
  ) {
    asked(options, sorts);
    const { parts, factors, measures = [], simulate: how } = options;
    const most = options.most === undefined ? usualMost : wholeNumber("most", options.most, 1, 1e6);
    if (factors && !(Array.isArray(factors) && factors.every((f) => typeof f === "number")))
      refuseOption("factors", "expected a list of numbers");
    this.suspects = suspectsOf(design, parts, factors);
    const room = Math.floor(most / this.suspects.length);
    const cases = casesFor(design, options.cases, room - 1);
    this.left = design.cases.map((c) => c.caseName).filter((name) => !cases.some((c) => c.caseName === name));
    if (cases.length + 1 > room) throw tooLarge(this.suspects.length, cases.length + 1, most);
    this.scenes = scenesOf(design, cases, measures, how ?? {});
    this.tolerated = new Tolerated(design);
    this.each = this.runs * (1 + this.tolerated.names.length) <= forTolerances * most;
  }

  /** Equal where the tables are. Threads that make rows do without it. */
  get fingerprint(): string {
    const { design, scenes, suspects, each, options } = this;
    const keys = scenes.flatMap((s) => s.columns.map((c) => c.key));
    this.told ??= fingerprintOf(design, keys, suspects.map(plainSuspect), options.simulate ?? {}, each);
    return this.told;
  }

  /** How many rows there are. */
  get runs(): number {
    return this.suspects.length * this.scenes.length;
  }

  /** All columns of the table. */
  get columns(): SymptomColumn[] {
    return this.scenes.flatMap((s) => s.columns.map(plainColumn));
  }

  /** About how much there is to a row: what feeds most comes first. */
  weight(id: number): number {
    return joinedWith(this.design, this.suspects[Math.floor(id / this.scenes.length)].name);
  }

  /** Makes a row. @throws DesignError `bad-option` */
  perform(id: number): SymptomRow {
    return this.row(Math.floor(id / this.scenes.length), this.scenes[id % this.scenes.length]);
  }

  /** The rows of the sound design, which all others are held against. */
  get first(): number[] {
    return [...this.scenes.keys()];
  }

  /** The row of the sound design, made once unless it was taken. */
  private sound(scene: Scene): SymptomRow {
    const known = this.found.get(this.scenes.indexOf(scene)) ?? this.sounds.get(scene) ?? this.row(0, scene);
    this.sounds.set(scene, known);
    return known;
  }

  private row(number: number, scene: Scene): SymptomRow {
    const suspect = this.suspects[number];
    const head = { suspect: number, case: scene.one.caseName };
    const none = (status: SymptomRow["status"], reason: string): SymptomRow => ({
      ...head,
      status,
      reason,
      columns: [],
      values: [],
    });
    const laid = suspect.on(scene.one);
    if (!laid) return none("refused", "the case has done that itself");
    const movers = scene.columns.map(({ spec }) => this.movers(scene, spec, suspect));
    const own = [...movers.keys()].filter((c) => this.moves(scene, suspect, movers[c]));
    const looked = own.map((c) => scene.columns[c]);
    const { status, reason, values, sampled } = this.measured(laid, looked, scene);
    if (status !== "complete") return none(status, reason);
    const shown = { looked, movers: own.map((c) => movers[c]), values };
    const sound = number === 0 ? undefined : this.sound(scene);
    const spread = sound && !this.each ? undefined : this.spread(scene, suspect, shown, sound);
    return {
      ...head,
      status,
      reason,
      columns: own.map((c) => scene.first + c),
      values: values.map((v) => kept(v, valueFigures)),
      ...(sampled && { sampled: true as const }),
      ...(spread && { spread }),
    };
  }

  take(id: number, row: SymptomRow): void {
    this.found.set(id, row);
  }

  /** The table of the rows so far. */
  table(): SymptomTable {
    const ids = [...this.found.keys()].sort((a, b) => a - b);
    return {
      title: this.design.title,
      fingerprint: this.fingerprint,
      suspects: this.suspects.map(plainSuspect),
      columns: this.columns,
      tolerances: this.tolerated.names,
      left: this.left,
      measures: this.options.measures ?? [],
      rows: ids.map((id) => this.found.get(id)!),
      missing: this.runs - ids.length,
    };
  }

  /** The parts that can affect a column with the suspect applied to the design; undefined: any may. */
  private movers(scene: Scene, spec: MeasureSpec, { name, kind }: Suspect): ReadonlySet<number> | undefined {
    const influence = this.influences.get(scene) ?? new Influence(scene.one);
    this.influences.set(scene, influence);
    const failed =
      kind === "value" || kind === "none" ? -1 : scene.one.parts.findIndex((p) => p.name === name);
    // Floor, peak, mean and swing of a place have the same movers.
    const of = `${failed} ${scene.one.caseName}`;
    if (this.reaching.of !== of) this.reaching = { of, movers: new Map() };
    const { movers } = this.reaching;
    const key = `${spec.target}\n${spec.each}`;
    if (!movers.has(key)) movers.set(key, influence.of(spec, failed < 0 ? undefined : failed));
    return movers.get(key);
  }

  private moves({ one }: Scene, { name, kind }: Suspect, movers: ReadonlySet<number> | undefined): boolean {
    return kind === "none" || !movers || movers.has(one.parts.findIndex((p) => p.name === name));
  }

  /**
   * The effects of tolerances on columns with known values; where a value equals the sound design's, the effects there.
   * @returns undefined where that is so for everything that tolerances affect
   */
  private spread(
    scene: Scene,
    suspect: Suspected,
    shown: RowShown,
    sound: SymptomRow | undefined,
  ): number[][] | undefined {
    const { looked, movers, values } = shown;
    const { tolerated } = this;
    const reach = tolerated.reach(scene.one, movers);
    const known = looked.map((c) => sound?.columns.indexOf(scene.first + scene.columns.indexOf(c)) ?? -1);
    const other = otherThan(
      shown,
      known.map((i) => sound?.values[i] ?? Number.NaN),
    );
    const asked = [...reach.keys()].filter((axis) => reach[axis].some((c) => !sound || other[c]));
    if (sound && asked.length === 0) return undefined;
    const before = looked.map((_, c) =>
      tolerated.names.map((_, axis) => sound?.spread?.[known[c]]?.[axis] ?? 0),
    );
    const beside = (c: number) =>
      before.filter(
        (_, other) =>
          isLevel(looked[c]) && isLevel(looked[other]) && looked[other].spec.target === looked[c].spec.target,
      );
    const spread = before.map((row) => row.map((s, axis) => (asked.includes(axis) ? 0 : s)));
    const apart = sound ? this.apart(scene, looked) : reach;
    for (const group of together(asked, apart)) {
      const made = tolerated.higher(scene.one, group);
      const laid = made && suspect.on(made);
      if (!laid) continue;
      // What lies in failed parts alone changes nothing.
      if (tolerated.failed(scene.one, group, laid)) continue;
      const columns = [...new Set(group.flatMap((axis) => reach[axis]))];
      const found = this.measured(
        laid,
        columns.map((c) => looked[c]),
        scene,
      );
      if (found.status !== "complete") continue;
      for (const [i, c] of columns.entries()) {
        const change = found.values[i] - values[c];
        const axes = group.filter((axis) => reach[axis].includes(c));
        for (const [axis, part] of apportioned(change, axes, [before[c], ...beside(c)]))
          spread[c][axis] = Number.isFinite(part) ? kept(part, spreadFigures) : 0;
      }
    }
    return spread;
  }

  /** Which columns each toleranced value affects where nothing has failed; rails do not count, see `otherThan`. */
  private apart(scene: Scene, looked: readonly Looked[]): number[][] {
    const { undisturbed } = this;
    for (const c of looked)
      if (!undisturbed.has(c)) undisturbed.set(c, this.movers(scene, c.spec, this.suspects[0]));
    const reach = this.tolerated.reach(
      scene.one,
      looked.map((c) => undisturbed.get(c)),
    );
    return reach.map((columns) => columns.filter((c) => !ofRail(looked[c])));
  }

  private measured(laid: Design, looked: readonly Looked[], { until }: Scene): Shown {
    const report = new Report();
    checkStructure({ names: [...laid.places] }, laid.parts, report);
    const wrong = report.diagnostics.find((d) => d.severity === "error");
    const none = { values: [], sampled: false };
    if (wrong) return { ...none, status: "refused", reason: wrong.message };
    try {
      const run = simulate(laid, { ...this.options.simulate, until });
      if (run.status === "stopped") return { ...none, status: "stopped", reason: run.reason };
      const values = measuredColumns(run, looked);
      return { status: "complete", reason: "", values, sampled: sampledAny(run, looked) };
    } catch (error) {
      return { ...none, status: "refused", reason: refusalOf(error) };
    }
  }
}

/** Whether a column holds where a trace is, not how far it goes. */
function isLevel({ standard }: Looked): boolean {
  return standard !== undefined && standard !== "swing";
}

function tooLarge(suspects: number, scenes: number, most: number): DesignError {
  return refusal(
    "table-too-large",
    `${suspects} suspects, as drawn${scenes > 1 ? ` and in ${scenes - 1} cases` : ""}, are ${suspects * scenes} runs, but ${most} are allowed`,
    "name fewer parts or cases, or raise most",
  );
}

function plainSuspect({ name, kind, factor, end }: Suspect): Suspect {
  return { name, kind, ...(factor !== undefined && { factor }), ...(end && { end }) };
}

function plainColumn({ case: name, what, unit, shown, key }: SymptomColumn): SymptomColumn {
  return { case: name, what, unit, shown, key };
}

// A rounding error in a difference of volts counts as zero.
function kept(value: number, figures: number): number {
  if (Math.abs(value) < 1e-14) return 0;
  return Number.isFinite(value) ? Number(value.toPrecision(figures)) : Number.NaN;
}
