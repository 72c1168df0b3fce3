// The engine of the page: a worker with the whole core in it. Messages are handled one at a time; a new one stops a run under way
// within one of its slices.
/// <reference lib="dom" />
import { LiveRuns } from "./liveruns.js";
import type { Reply, Request } from "./messages.js";

let runs: LiveRuns | undefined;
let current = { aborted: false };
let work = Promise.resolve();

// A message to oneself queues behind those waiting; a timer would take at least 4 ms.
const door = new MessageChannel();
const waiting: (() => void)[] = [];
door.port1.onmessage = () => waiting.shift()?.();

function rest(): Promise<void> {
  return new Promise((go) => {
    waiting.push(go);
    door.port2.postMessage(0);
  });
}

function tell(answer: Reply): void {
  (self as unknown as { postMessage(message: Reply): void }).postMessage(answer);
}

/** The newest text; older ones need no compiling. */
let newest = 0;

self.onmessage = ({ data }: MessageEvent<Request>) => {
  // Completion does not wait for a run.
  if (data.type === "offer") {
    if (runs) tell(runs.offer(data));
    return;
  }
  const signal = { aborted: false };
  // Questions about the run that is shown do not stop anything.
  if (data.type !== "keep" && data.type !== "decide") {
    current.aborted = true;
    current = signal;
  }
  if (data.type === "text") newest = data.edition;
  work = work.then(() => attend(data, signal)).catch(broken);
};

async function attend(
  request: Exclude<Request, { type: "offer" }>,
  signal: { readonly aborted: boolean },
): Promise<void> {
  switch (request.type) {
    case "begin":
      runs = new LiveRuns(request.brought, rest);
      return tell({ type: "ready" });
    case "text":
      if (runs && request.edition === newest) tell(runs.read(request));
      return;
    case "run":
      if (runs && !signal.aborted) await runs.run(request, signal, tell);
      return tell({ type: "done", turn: request.turn });
    case "decide": {
      const found = runs?.decide(request.check);
      return found && tell(found);
    }
    case "keep": {
      const text = runs?.keep(request.what, request.group);
      return text === undefined ? undefined : tell({ type: "kept", what: request.what, text });
    }
  }
}

function broken(error: unknown): void {
  tell({ type: "broken", reason: error instanceof Error ? error.message : String(error) });
}
