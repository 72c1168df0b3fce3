// Where a knob reaches an engine: the two workers behind a live page, both with the design compiled, so that one is ready while the
// other is still stopping. Takes texts and turns of knobs; passes on only what belongs to the newest. An engine that does not respond is
// terminated and replaced.
/// <reference lib="dom" />
import type { Suggestion } from "../editor/suggestions.js";
import type {
  Keepsake,
  LiveDecision,
  LiveDesign,
  LiveText,
  OfferPlace,
  PackedBrought,
  Reply,
  Request,
  Turn,
} from "./messages.js";

/** How long a turn waits for the one before it to be shown, ms; a hand on a knob makes a turn on every frame. */
const patience = 50;
/** How long an engine may take to stop, ms. */
const deaf = 500;
const engineCount = 2;

/** One engine and its work. */
interface Engine {
  readonly worker: Worker;
  /** Edition of the text that it has compiled. */
  edition: number;
  /** What it works on; absent while it is idle. */
  job?: Turn;
}

/** Results of the newest text and turn. */
export interface Heard {
  /** A text was checked; it has no design if it has mistakes. */
  text(answer: Reply & { type: "text" }): void;
  /** There is something to show. */
  shown(answer: Reply & { type: "waves" | "verdicts" | "picture" | "refused" }, part: Turn["part"]): void;
  /** Everything of a turn has arrived. */
  settled(): void;
  /** Where a check was decided. */
  decided(answer: LiveDecision): void;
  kept(answer: Reply & { type: "kept" }): void;
  broken(reason: string): void;
}

/** Runs texts and turns on two workers. */
export class Engines {
  private readonly url: string;
  private engines: Engine[];
  private text?: LiveText;
  private design?: LiveDesign;
  private turn = 0;
  /** What remains to be done of the newest turn. */
  private queue: Turn[] = [];
  private wanted?: Pick<Turn, "values" | "case">;
  private begun = 0;
  private timer = 0;
  private showing?: Engine;
  /** The newest request for offers. */
  private asked?: { readonly number: number; readonly go: (offers: readonly Suggestion[]) => void };

  /** @param script text of the engine */
  constructor(
    script: string,
    private readonly brought: PackedBrought,
    private readonly heard: Heard,
  ) {
    this.url = URL.createObjectURL(new Blob([script], { type: "text/javascript" }));
    this.engines = Array.from({ length: engineCount }, () => this.start());
  }

  /** Compiles a text and drops the runs of the one before. */
  read(text: LiveText): void {
    this.text = text;
    this.design = undefined;
    this.queue = [];
    this.wanted = undefined;
    this.turn++;
    for (const engine of this.engines) this.send(engine, { type: "text", ...text });
  }

  /** Runs the design with other values; what is under way is abandoned. */
  run(values: Turn["values"], caseName: string): void {
    this.wanted = { values, case: caseName };
    clearTimeout(this.timer);
    const busy =
      this.queue.length > 0 || this.engines.some(({ job }) => job?.turn === this.turn && urgent(job));
    const left = busy ? this.begun + patience - performance.now() : 0;
    if (left > 0) this.timer = setTimeout(() => this.begin(), left) as unknown as number;
    else this.begin();
  }

  /** Asks for what is shown, as a file. */
  keep(what: Keepsake, group: number): void {
    if (this.showing) this.send(this.showing, { type: "keep", what, group });
  }

  /** Asks where a check of what is shown was decided. */
  decide(check: number): void {
    if (this.showing) this.send(this.showing, { type: "decide", check });
  }

  /** What may be written at a position; empty if another position is asked about meanwhile. */
  offers(place: Omit<OfferPlace, "number">): Promise<readonly Suggestion[]> {
    this.asked?.go([]);
    const number = (this.asked?.number ?? 0) + 1;
    const engine = this.engines.find(({ job }) => !job) ?? this.engines[0];
    return new Promise((go) => {
      this.asked = { number, go };
      this.send(engine, { type: "offer", number, ...place });
    });
  }

  private begin(): void {
    const { wanted, design } = this;
    clearTimeout(this.timer);
    if (!wanted || !design) return;
    this.wanted = undefined;
    this.begun = performance.now();
    const turn = ++this.turn;
    const job = { turn, ...wanted };
    const others = design.cases.filter(({ name, checks }) => name !== job.case && checks > 0);
    this.queue = [
      ...(design.staged ? [{ ...job, part: "first" as const }] : []),
      { ...job, part: "all" },
      ...others.map(({ name }) => ({ ...job, case: name, part: "verdicts" as const })),
    ];
    for (const engine of this.engines) if (engine.job) this.send(engine, { type: "stop" });
    this.dispatch();
    if (this.queue.length > 0 && this.engines.every(({ job }) => job && job.turn !== turn))
      this.timer = setTimeout(() => this.replace(turn), deaf) as unknown as number;
  }

  /** Gives work to idle engines; other cases only once what is on the screen has arrived. */
  private dispatch(): void {
    for (const engine of this.engines) {
      const next = this.queue[0];
      if (!next) return;
      if (engine.job || engine.edition !== this.text?.edition) continue;
      if (!urgent(next) && this.engines.some(({ job }) => job && urgent(job))) return;
      this.queue.shift();
      engine.job = next;
      this.send(engine, { type: "run", ...next });
    }
  }

  /** No engine has stopped for a turn: replaces the first that is busy with an older one. */
  private replace(turn: number): void {
    if (turn !== this.turn) return;
    const at = this.engines.findIndex(({ job }) => job && job.turn !== turn);
    if (at < 0) return;
    this.engines[at].worker.terminate();
    this.engines[at] = this.start();
  }

  private start(): Engine {
    const worker = new Worker(this.url);
    const engine: Engine = { worker, edition: 0 };
    worker.onmessage = ({ data }: MessageEvent<Reply>) => this.hear(engine, data);
    worker.onerror = (event) => {
      event.preventDefault();
      this.heard.broken(event.message);
    };
    this.send(engine, { type: "begin", brought: this.brought });
    if (this.text) this.send(engine, { type: "text", ...this.text });
    return engine;
  }

  private send({ worker }: Engine, request: Request): void {
    worker.postMessage(request);
  }

  private hear(engine: Engine, answer: Reply): void {
    switch (answer.type) {
      case "text":
        this.compiled(engine, answer);
        break;
      case "done":
        engine.job = undefined;
        this.proceed(answer.turn);
        break;
      case "decided":
        if (answer.turn === this.turn) this.heard.decided(answer);
        break;
      case "kept":
        this.heard.kept(answer);
        break;
      case "broken":
        engine.job = undefined;
        this.heard.broken(answer.reason);
        break;
      case "offers":
        if (answer.number === this.asked?.number) this.asked.go(answer.offers);
        break;
      case "ready":
        break;
      default:
        if (answer.turn !== this.turn || !engine.job) return;
        if (urgent(engine.job)) this.showing = engine;
        this.heard.shown(answer, engine.job.part);
    }
  }

  /** An engine has become idle: starts what comes next. */
  private proceed(turn: number): void {
    if (turn === this.turn && this.wanted) {
      this.begin();
      return;
    }
    this.dispatch();
    if (this.queue.length === 0 && this.engines.every(({ job }) => !job)) this.heard.settled();
  }

  private compiled(engine: Engine, answer: Reply & { type: "text" }): void {
    engine.edition = answer.edition;
    if (answer.edition !== this.text?.edition) return;
    if (this.design) {
      this.dispatch();
      return;
    }
    // Both engines find the same; the first to answer counts.
    this.design = answer.design;
    const others = this.engines.filter((one) => one !== engine);
    if (answer.design || others.every((one) => one.edition !== answer.edition)) this.heard.text(answer);
  }
}

/** Whether it is for what is on the screen now. */
function urgent({ part }: Turn): boolean {
  return part !== "verdicts";
}
