// The engine of the page: a worker with the whole core in it. One message is worked at after the other; a new one ends a run that is
// under way, within a slice of it.
/// <reference lib="dom" />
import { Bench } from "./bench.js";
import type { Reply, Request } from "./messages.js";

let bench: Bench | undefined;
let current = { aborted: false };
let work = Promise.resolve();

// A message to oneself comes behind those that wait already; a timer would wait for at least 4 ms.
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

/** The newest text; older ones are not worth compiling any more. */
let newest = 0;

self.onmessage = ({ data }: MessageEvent<Request>) => {
  // Whoever writes waits for no run.
  if (data.type === "offer") {
    if (bench) tell(bench.offer(data));
    return;
  }
  const signal = { aborted: false };
  // What is only asked of the run that is shown disturbs nothing.
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
      bench = new Bench(request.brought, rest);
      return tell({ type: "ready" });
    case "text":
      if (bench && request.edition === newest) tell(bench.read(request));
      return;
    case "run":
      if (bench && !signal.aborted) await bench.run(request, signal, tell);
      return tell({ type: "done", turn: request.turn, finished: !signal.aborted });
    case "decide": {
      const found = bench?.decide(request.check);
      return found && tell(found);
    }
    case "keep": {
      const text = bench?.keep(request.what, request.group);
      return text === undefined ? undefined : tell({ type: "kept", what: request.what, text });
    }
  }
}

function broken(error: unknown): void {
  tell({ type: "broken", reason: error instanceof Error ? error.message : String(error) });
}
