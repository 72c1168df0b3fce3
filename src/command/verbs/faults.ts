// The verb `faults`: what happens when something fails.
// Takes FILE; prints a table, its rows as they come, or one JSON object. Status: 0 every check passes where nothing fails and no
// fault asks another part for more than it is rated for, 1 not so (that checks fail under a fault is what the table is about,
// and no mistake), 2 the design or an option is wrong, 3 the design as drawn could not be run to its end, or not all faults were.
import { availableParallelism } from "node:os";
import { toNumber } from "../../base/fraction.js";
import type { Design } from "../../design/design.js";
import type { Fault, Found } from "../../faults/blame.js";
import { FaultStudy, type FaultsOptions } from "../../faults/survey.js";
import { drivesTube } from "../../report/cautions.js";
import { plan } from "../../simulation/options.js";
import { schemaVersion } from "../../waveforms/writing.js";
import { cornersOf, worthwhile } from "../allruns.js";
import { Bar } from "../bar.js";
import { plainJson } from "../columns.js";
import { FaultLines, footLines } from "../faulttext.js";
import { interruptible } from "../interrupt.js";
import { attempt, attemptAll, type Loaded, load, workersOf } from "../load.js";
import { printable, say, tell } from "../output.js";
import { status } from "../refusal.js";
import { tellCautions } from "./check.js";

/** Options of the verb. */
export interface FaultsVerbOptions {
  readonly until?: string;
  readonly parts?: string;
  readonly drawn?: boolean;
  readonly workers?: string;
  readonly json?: boolean;
}

/** Runs the verb; gives the status. */
export async function faultsVerb(file: string, options: FaultsVerbOptions): Promise<number> {
  const json = options.json === true;
  const loaded = load(file, json);
  const { design, source } = loaded;
  const { until, parts } = options;
  const asked: FaultsOptions = {
    ...(until !== undefined && { simulate: { until } }),
    ...(parts !== undefined && { parts: parts.split(",").map((name) => name.trim()) }),
    ...(options.drawn && { cases: false }),
  };
  const bar = new Bar("runs");
  let lines: FaultLines | undefined;
  const print = (fault: Fault) => {
    if (json) return;
    bar.clear();
    say(`${printable(lines!.row(fault))}\n`);
  };
  const study = attempt(() => new FaultStudy(design, asked, print), json);
  lines = new FaultLines(study.titles);
  if (!json) say(`${printable(design.title)}\n\n${printable(lines.head)}\n`);
  const cancelled = await attemptAll(() => runAll(study, loaded, asked, options.workers, bar), json);
  const table = study.table();
  if (json) say(plainJson({ schemaVersion, ...table }));
  else say(`\n${footLines(table).map(printable).join("\n")}\n`);
  if (!json && drivesTube(source.text, design)) tellCautions();
  if (cancelled) tell(`rampwright: cancelled with ${table.missing} of ${study.runs} runs not made`);
  if (table.missing > 0 || table.faults[0]?.status !== "complete") return status.stopped;
  return table.pass ? status.good : status.fails;
}

/** Makes all runs, in threads where they are worth it; true where that was cancelled on the way. */
async function runAll(
  study: FaultStudy,
  { design, source }: Loaded,
  options: FaultsOptions,
  words: string | undefined,
  bar: Bar,
): Promise<boolean> {
  const { runs } = study;
  let done = 0;
  const take = (id: number, found: Found) => {
    study.take(id, found);
    bar.at(++done, runs);
  };
  const little = words === undefined && work(design, options) * runs < worthwhile;
  const workers = Math.min(runs, workersOf(words, little ? 1 : availableParallelism()));
  if (workers === 1)
    return interruptible(bar, async (cancelled) => {
      for (let id = 0; id < runs && !cancelled(); id++) {
        take(id, study.perform(id));
        // A signal is heard between two runs only.
        await new Promise(setImmediate);
      }
    });
  // Loaded only here, since most designs do without.
  const { Pool } = await import("../pool.js");
  const { threadsFor } = await import("../threads.js");
  const task = { text: source.text, name: source.name, brought: source.brought, faults: options };
  const pool = new Pool<{ readonly id: number }, Found>({
    workers,
    inHand: 2,
    hire: threadsFor(task),
    done: take,
    lost: (id, reason) => {
      bar.clear();
      tell(`rampwright: run ${id} ended its worker every time: ${printable(reason)}`);
    },
  });
  const jobs = Array.from({ length: runs }, (_, id) => ({ id }));
  return interruptible(
    bar,
    () => pool.run(jobs).finally(() => pool.close()),
    () => pool.cancel(),
  );
}

function work(design: Design, { simulate }: FaultsOptions): number {
  const until = plan(design, simulate ?? {}).until;
  return (1 + cornersOf(design, toNumber(until))) * design.parts.length;
}
