// The page: connects the knobs, the editor, the cases and the displays to the engines.
/// <reference lib="dom" />
import type { Diagnostic } from "../base/diagnostic.js";
import { Dials } from "./dials.js";
import { Editing } from "./editing.js";
import { Engines } from "./engines.js";
import { fragmentOf, readFragment, textOf } from "./fragment.js";
import { longestLink, packedText, textKey, unpackedText } from "./linkedtext.js";
import type { LiveData } from "./livepage.js";
import type { LiveDesign, LiveGroup, LiveVerdicts, Reply, Turn } from "./messages.js";
import { WavePlots } from "./plots.js";
import { download, fileName, pixelsOfDrawing, pngOf, toClipboard } from "./saving.js";
import { CaseButtons, listOf, Screens, verdictRows } from "./tables.js";

function byId<T extends HTMLElement = HTMLElement>(id: string): T {
  return document.getElementById(id) as T;
}

/** The page at work. */
class Front {
  private design?: LiveDesign;
  private edition = 0;
  private case = "";
  private linked = false;
  /** Whether the values of the last turn are refused. */
  private wrong = false;
  /** What could not be read of the link, to be told with the first run. */
  private refused: readonly string[] = [];
  /** The check whose decision is asked for, and whether to go there. */
  private decision = { name: "", jump: false };
  /** Results of the newest turn by case. */
  private results = new Map<string, LiveVerdicts>();
  private turnedAt = 0;
  private pace: Record<string, number> = {};
  /** Format of the next drawing to be saved. */
  private wanted: "svg" | "png" = "svg";

  private readonly engines: Engines;
  private readonly editing: Editing;
  private readonly dials = new Dials(byId("knobs"), byId("inside"), () => this.turn());
  private readonly cases = new CaseButtons(byId("cases"), (name) => this.choose(name));
  private readonly plots = new WavePlots(byId("plots"), byId("scales"), (...at) => this.screens.point(...at));
  private readonly screens = new Screens(byId("screens"));

  constructor(private readonly data: LiveData) {
    this.engines = new Engines(byId("engine").textContent ?? "", data.brought, {
      text: (answer) => this.compiled(answer),
      shown: (answer, part) => this.show(answer, part),
      settled: () => this.settled(),
      decided: (found) => this.plots.decided(found, this.decision.jump),
      kept: ({ what, text }) => this.kept(what, text),
      broken: (reason) => this.refuse([`The engine has failed: ${reason}`]),
    });
    const words = { lexicon: data.lexicon, ask: this.engines.offers.bind(this.engines) };
    this.editing = new Editing(byId("editor"), byId("problems"), data.text, words, (text) => this.read(text));
    this.listen();
    void this.begin();
  }

  /** Reads the text from the link; without one the text stays as it is. */
  private async begin(): Promise<void> {
    const packed = textOf(location.hash);
    const text = packed === undefined ? this.editing.text : await unpackedText(packed);
    if (text === undefined) this.refused = ["The link: its text cannot be read"];
    else if (text !== this.editing.text) this.editing.text = text;
    this.linked = false;
    this.read(this.editing.text);
  }

  private listen(): void {
    const on = (id: string, action: () => void) => byId(id).addEventListener("click", action);
    const name = () => fileName(this.design?.title ?? this.data.name);
    on("save", () =>
      download(
        this.data.name.endsWith(".ramp") ? lastOf(this.data.name) : `${name()}.ramp`,
        this.editing.text,
      ),
    );
    on("reset", () => {
      this.dials.set({});
      this.turn();
    });
    on("link", () => this.link());
    on("svg", () => this.ask("svg"));
    on("png", () => this.ask("png"));
    on("csv", () => this.engines.keep("csv", this.plots.at));
    on("screen-png", () => {
      const { first } = this.screens;
      if (first) pngOf(first).then((blob) => download(`${name()}-screen.png`, blob), failed);
    });
    addEventListener("hashchange", () => void this.begin());
    const failed = (error: unknown) => this.refuse([String(error)]);
  }

  private read(text: string): void {
    byId("verdict").textContent = "Reading the text.";
    byId("paper").textContent = text;
    this.engines.read({ edition: ++this.edition, text, name: this.data.name });
  }

  private compiled({ diagnostics, design }: Reply & { type: "text" }): void {
    this.editing.show(diagnostics);
    if (!design) {
      this.stale(true);
      const count = diagnostics.filter(({ severity }) => severity === "error").length;
      this.say(
        `${count === 1 ? "One mistake" : `${count} mistakes`} in the text; what is shown is from before.`,
        "fail",
      );
      return;
    }
    this.design = design;
    byId("title").textContent = design.title;
    document.title = design.title;
    byId("caution").hidden = !design.tube;
    if (!design.cases.some(({ name }) => name === this.case)) this.case = "";
    this.dials.build(design.knobs);
    byId("inside-all").hidden = !design.knobs.some(({ inside }) => inside);
    this.cases.build(design.cases);
    if (!this.linked) this.follow();
    else this.turn();
  }

  /** Takes values and case from the fragment of the address. */
  private follow(): void {
    if (!this.design) return;
    this.linked = true;
    const { values, case: name, refused } = readFragment(location.hash, this.design);
    this.dials.set(values);
    this.case = name;
    this.turn();
    const reasons = [...this.refused, ...refused.map((one) => `The link: ${one}`)];
    this.refused = [];
    if (reasons.length > 0) this.refuse(reasons);
  }

  private choose(name: string): void {
    this.case = name;
    this.turn();
  }

  private turn(): void {
    const { design } = this;
    if (!design) return;
    this.cases.press(this.case);
    this.cases.clear();
    this.results.clear();
    this.dials.showCase(design.cases.find(({ name }) => name === this.case));
    this.refuse([]);
    this.wrong = false;
    byId("told").textContent = "";
    this.turnedAt = performance.now();
    this.pace = {};
    this.stale(true);
    if (!byId("rows").hasChildNodes()) this.say("Computing.", "");
    this.engines.run({ ...this.dials.values }, this.case);
  }

  private show(
    answer: Reply & { type: "waves" | "verdicts" | "picture" | "refused" },
    part: Turn["part"],
  ): void {
    switch (answer.type) {
      case "waves":
        this.waves(answer.groups);
        this.clock(part === "first" ? "first waveforms" : "waveforms");
        break;
      case "verdicts":
        this.results.set(answer.case, answer);
        this.cases.judge(answer.case, answer.verdicts);
        if (answer.case === this.case) this.verdicts(answer);
        this.sum();
        break;
      case "picture":
        byId("tube").hidden = false;
        this.screens.show(answer.picture);
        this.clock(answer.picture.whole ? "picture" : "first picture");
        break;
      case "refused":
        this.refuse(answer.diagnostics.map(messageOf));
        this.say("These values are refused.", "fail");
        this.wrong = true;
    }
  }

  private waves(groups: readonly LiveGroup[]): void {
    byId("plots").classList.remove("old");
    this.plots.show(groups);
  }

  private verdicts(found: LiveVerdicts): void {
    byId("rows").replaceChildren(...verdictRows(found, (check, name) => this.decide(check, name, true)));
    byId("doubts").replaceChildren(...listOf(found.doubts));
    byId("checks").classList.remove("old");
    this.clock("verdicts");
    if (!this.plots.atDecision) return;
    // The decision on the screen has been made anew.
    const again = found.verdicts.findIndex(({ name }) => name === this.decision.name);
    if (again < 0) this.plots.decided(undefined, false);
    else this.decide(again, found.verdicts[again].name, false);
  }

  /** Asks where a check was decided. @param jump true to go there */
  private decide(check: number, name: string, jump: boolean): void {
    this.decision = { name, jump };
    this.engines.decide(check);
  }

  /** Sums up all cases known so far in one line. */
  private sum(): void {
    const { design, results } = this;
    const own = results.get(this.case);
    if (!design || !own) return;
    const asked = design.cases.filter(({ checks }) => checks > 0);
    const failing = asked.flatMap(({ name }) => {
      const failed = results.get(name)?.verdicts.filter(({ pass }) => !pass) ?? [];
      return failed.map((one) => (name === "" ? one.name : `${one.name} (${name})`));
    });
    const left = asked.filter(({ name }) => !results.has(name)).length;
    const counted = [...results.values()].reduce((sum, { verdicts }) => sum + verdicts.length, 0);
    const stopped = [...results.values()].some((one) => one.stopped);
    const early = stopped ? " A run stopped early." : "";
    const rest = early + (left > 0 ? ` ${left} of ${design.cases.length} cases are still to come.` : "");
    const failed =
      failing.slice(0, 3).join(", ") + (failing.length > 3 ? ` and ${failing.length - 3} more` : "");
    if (counted === 0 && left === 0) this.say(`The design has no checks.${rest}`, early && "fail");
    else if (failing.length === 0) {
      const all = counted === 1 ? "The one check passes" : `All ${counted} checks pass`;
      this.say(`${all}.${rest}`, stopped ? "fail" : left > 0 ? "" : "pass");
    } else {
      const fail = failing.length === 1 ? "fails" : "fail";
      const which = counted === 1 ? "The one check" : `${failing.length} of ${counted} checks`;
      this.say(`${which} ${fail}: ${failed}.${rest}`, "fail");
    }
  }

  private settled(): void {
    // What is still shown of values that are refused is of those before them.
    this.stale(this.wrong);
    document.documentElement.dataset["settled"] = String(this.edition);
  }

  /** Marks what is shown as out of date, or as current. */
  private stale(old: boolean): void {
    delete document.documentElement.dataset["settled"];
    for (const id of ["plots", "screens", "checks"]) byId(id).classList.toggle("old", old);
  }

  private clock(what: string): void {
    if (what.endsWith("picture")) byId("screens").classList.remove("old");
    this.pace[what] = performance.now() - this.turnedAt;
    const words = Object.entries(this.pace).map(([name, time]) => `${name} ${Math.round(time)} ms`);
    byId("pace").textContent = `After the last turn: ${words.join(", ")}.`;
    document.documentElement.dataset["pace"] = JSON.stringify(this.pace);
  }

  private say(text: string, kind: string): void {
    const line = byId("verdict");
    line.className = kind;
    if (line.textContent !== text) line.textContent = text;
  }

  private refuse(reasons: readonly string[]): void {
    byId("refused").replaceChildren(...listOf(reasons));
  }

  private async link(): Promise<void> {
    const { design } = this;
    if (!design) return;
    const { text } = this.editing;
    const values = fragmentOf(design.knobs, this.dials.values, this.case);
    const whole = text === this.data.text ? "" : `${textKey}=${await packedText(text)}`;
    const carried = whole.length <= longestLink;
    const fragment = carried
      ? [values.slice(1), whole].filter((part) => part !== "").join("&")
      : values.slice(1);
    const link = `${location.href.split("#")[0]}${fragment === "" ? "" : `#${fragment}`}`;
    history.replaceState(null, "", link);
    const copied = await toClipboard(link);
    const changed = carried
      ? ""
      : " It does not carry the changed text, which is too long for a link: save that as well.";
    byId("told").textContent = copied
      ? `The link is copied.${changed}`
      : `The link stands in the address line.${changed}`;
  }

  private ask(what: "svg" | "png"): void {
    this.wanted = what;
    this.engines.keep("svg", this.plots.at);
  }

  private kept(what: "svg" | "csv", text: string): void {
    const name = fileName(`${this.design?.title ?? ""} ${this.case}`);
    if (what === "csv") download(`${name}.csv`, text, "text/csv;charset=utf-8");
    else if (this.wanted === "svg") download(`${name}.svg`, text, "image/svg+xml");
    else
      pixelsOfDrawing(text).then(
        (blob) => download(`${name}.png`, blob),
        (error: unknown) => this.refuse([String(error)]),
      );
  }
}

function messageOf({ message, hint }: Diagnostic): string {
  const plain = message.replace(/^values\./, "");
  return hint === undefined ? plain : `${plain} (${hint})`;
}

function lastOf(path: string): string {
  return path.split(/[\\/]/).at(-1) ?? path;
}

new Front(JSON.parse(byId("data").textContent ?? "{}") as LiveData);
