// A study of a design whose runs are told apart by number: done one after the other or in threads, each taken as it comes, with a
// bar meanwhile; Ctrl-C ends it with what is done.
import { toNumber } from "../base/fraction.js";
import { plan, type SimulateOptions } from "../simulation/options.js";
import type { Bar } from "./bar.js";
import { Jobs } from "./jobs.js";
import type { Loaded } from "./load.js";
import { printable, tell } from "./output.js";
import type { FaultsTask, SymptomsTask } from "./worker.js";
import { cornersOf } from "./workload.js";

/** A study by number. */
interface Study<Row, Table> {
  readonly runs: number;
  perform(id: number): Row;
  take(id: number, row: Row): void;
  table(): Table;
}

/** How its runs are made. */
interface Working {
  /** What a thread is told besides the design. */
  readonly asked: Pick<FaultsTask, "faults"> | Pick<SymptomsTask, "symptoms">;
  readonly simulate: SimulateOptions | undefined;
  readonly workers: number | undefined;
  readonly bar: Bar;
}

/** The table of a study; runs that were not made are told. */
export async function studied<Row, Table extends { readonly missing: number }>(
  { design, source }: Loaded,
  study: Study<Row, Table>,
  { asked, simulate = {}, workers, bar }: Working,
): Promise<Table> {
  const { runs } = study;
  const corners = 1 + cornersOf(design, toNumber(plan(design, simulate).until));
  let done = 0;
  const { text, name, values, brought } = source;
  const jobs = new Jobs<Row>({
    count: runs,
    workers,
    work: corners * design.parts.length * runs,
    inHand: 2,
    task: { text, name, values, brought, ...asked },
    perform: (id) => study.perform(id),
    take: (id, row) => {
      study.take(id, row);
      bar.at(++done, runs);
    },
    lost: (id, reason) => {
      bar.clear();
      tell(`rampwright: run ${id} ended its worker every time: ${printable(reason)}`);
    },
  });
  const cancelled = await jobs.interruptible(bar);
  const table = study.table();
  if (cancelled) tell(`rampwright: cancelled with ${table.missing} of ${runs} runs not made`);
  return table;
}
