// Who works at what, with workers that do as they are told here: what belongs to an older turn is never shown.
import { afterEach, beforeEach, expect, test, vi } from "vitest";
import { Engines, type Heard } from "../../src/live/engines.js";
import type { LiveDesign, Reply, Request } from "../../src/live/messages.js";

/** A worker that notes what it is told. */
class Puppet {
  static all: Puppet[] = [];
  readonly told: Request[] = [];
  ended = false;
  onmessage?: (event: { data: Reply }) => void;

  constructor() {
    Puppet.all.push(this);
  }

  postMessage(request: Request): void {
    this.told.push(request);
  }

  terminate(): void {
    this.ended = true;
  }

  say(reply: Reply): void {
    this.onmessage?.({ data: reply });
  }

  /** What it was last asked to run. */
  get job() {
    return this.told.findLast((one) => one.type === "run");
  }
}

const design: LiveDesign = {
  title: "x",
  knobs: [],
  cases: [
    { name: "", checks: 1, sets: {} },
    { name: "cold", checks: 1, sets: {} },
    { name: "idle", checks: 0, sets: {} },
  ],
  tube: false,
  staged: false,
};
const waves = (turn: number): Reply => ({ type: "waves", turn, groups: [] });

let seen: string[];
const heard: Heard = {
  text: ({ edition }) => seen.push(`text ${edition}`),
  shown: (reply, part) => seen.push(`${reply.type} ${reply.turn} ${part}`),
  settled: () => seen.push("settled"),
  decided: ({ check }) => seen.push(`decided ${check}`),
  kept: ({ what }) => seen.push(`kept ${what}`),
  broken: (reason) => seen.push(`broken ${reason}`),
};

beforeEach(() => {
  seen = [];
  Puppet.all = [];
  vi.useFakeTimers();
  vi.stubGlobal("Worker", Puppet);
  vi.spyOn(URL, "createObjectURL").mockReturnValue("blob:engine");
});
afterEach(() => {
  vi.useRealTimers();
  vi.unstubAllGlobals();
  vi.restoreAllMocks();
});

function begun(made: LiveDesign = design): Engines {
  const engines = new Engines("", { texts: {}, pictures: {}, captures: {} }, heard);
  engines.read({ edition: 1, text: "", name: "x" });
  for (const puppet of Puppet.all) puppet.say({ type: "text", edition: 1, diagnostics: [], design: made });
  expect(seen).toEqual(["text 1"]);
  seen = [];
  return engines;
}

test("a turn goes to an engine that waits, the other cases follow when it is there", () => {
  begun().run({ timing: 1 }, "");
  const [a, b] = Puppet.all;
  expect(a.job).toMatchObject({ values: { timing: 1 }, case: "", part: "all" });
  expect(b.job).toBeUndefined();
  const { turn } = a.job!;
  a.say(waves(turn));
  a.say({ type: "done", turn });
  expect(a.job).toMatchObject({ case: "cold", part: "verdicts", turn });
  a.say({ type: "done", turn });
  expect(seen).toEqual([`waves ${turn} all`, "settled"]);
});

test("a new turn stops the old one, goes to the other engine, and what the old one still says is not shown", () => {
  const engines = begun();
  engines.run({ timing: 1 }, "");
  const [a, b] = Puppet.all;
  const old = a.job!.turn;
  vi.advanceTimersByTime(60);
  engines.run({ timing: 2 }, "");
  expect(a.told.at(-1)).toEqual({ type: "stop" });
  expect(b.job).toMatchObject({ values: { timing: 2 } });
  a.say(waves(old));
  a.say({ type: "verdicts", turn: old, case: "", verdicts: [], doubts: [], stopped: false });
  b.say(waves(b.job!.turn));
  a.say(waves(old));
  expect(seen).toEqual([`waves ${b.job!.turn} all`]);
});

test("a hand that turns on every frame waits for what is under way, for 50 ms at most", () => {
  const engines = begun();
  engines.run({ timing: 1 }, "");
  const [a, b] = Puppet.all;
  for (let k = 2; k <= 4; k++) {
    vi.advanceTimersByTime(10);
    engines.run({ timing: k }, "");
  }
  expect(b.job).toBeUndefined();
  vi.advanceTimersByTime(20);
  expect(b.job).toMatchObject({ values: { timing: 4 } });
  expect(a.told.filter(({ type }) => type === "run")).toHaveLength(1);
});

test("what was under way is shown, and then the newest turn begins at once", () => {
  const engines = begun();
  engines.run({ timing: 1 }, "");
  const [a] = Puppet.all;
  engines.run({ timing: 2 }, "");
  engines.run({ timing: 3 }, "");
  const { turn } = a.job!;
  a.say(waves(turn));
  a.say({ type: "done", turn });
  expect(seen).toEqual([`waves ${turn} all`]);
  expect(a.job).toMatchObject({ values: { timing: 3 } });
});

test("an engine that does not stop is ended, and another one gets text and turn", () => {
  const engines = begun({ ...design, staged: true });
  engines.run({ timing: 1 }, "");
  const [a, b] = Puppet.all;
  expect([a.job?.part, b.job?.part]).toEqual(["first", "all"]);
  vi.advanceTimersByTime(100);
  engines.run({ timing: 2 }, "");
  vi.advanceTimersByTime(499);
  expect(Puppet.all).toHaveLength(2);
  vi.advanceTimersByTime(1);
  expect(a.ended).toBe(true);
  const fresh = Puppet.all[2];
  expect(fresh.told.map(({ type }) => type)).toEqual(["begin", "text"]);
  fresh.say({ type: "text", edition: 1, diagnostics: [], design });
  expect(fresh.job).toMatchObject({ values: { timing: 2 }, part: "first" });
  a.say(waves(1));
  expect(seen).toEqual([]);
});

test("a new text forgets the turns of the one before", () => {
  const engines = begun();
  engines.run({ timing: 1 }, "");
  const [a, b] = Puppet.all;
  const { turn } = a.job!;
  engines.read({ edition: 2, text: "changed", name: "x" });
  a.say(waves(turn));
  b.say({ type: "text", edition: 1, diagnostics: [], design });
  expect(seen).toEqual([]);
  b.say({ type: "text", edition: 2, diagnostics: [], design });
  expect(seen).toEqual(["text 2"]);
});

test("what is taken home comes from the engine whose waveforms are shown", () => {
  const engines = begun();
  engines.keep("svg", 0);
  engines.run({}, "");
  const [a] = Puppet.all;
  a.say(waves(a.job!.turn));
  engines.keep("csv", 1);
  expect(a.told.at(-1)).toEqual({ type: "keep", what: "csv", group: 1 });
  a.say({ type: "kept", what: "csv", text: "" });
  expect(seen.at(-1)).toBe("kept csv");
});
