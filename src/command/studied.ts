// A study of a design whose runs are numbered: done one after the other or in threads, each result taken as it comes, under a
// progress bar. Ctrl-C ends it and keeps what is done. Either all of it, or one slice.
import { toNumber } from "../base/fraction.js";
import { plan, type SimulateOptions } from "../simulation/options.js";
import type { Bar } from "./bar.js";
import { Jobs } from "./jobs.js";
import type { Loaded } from "./load.js";
import { printable, tell } from "./output.js";
import type { Study, StudyAsked } from "./studies.js";
import { keepSlice, runsOfSlice, type SliceDone, type SliceOf } from "./studyslices.js";
import { cornersOf } from "./workload.js";

/** How the runs are made. */
interface Working {
  /** What a thread needs besides the design. */
  readonly asked: StudyAsked;
  readonly workers: number | undefined;
  readonly bar: Bar;
}

/** The table of a study; tells which runs were not made. */
export async function studied<Table extends { readonly missing: number }>(
  loaded: Loaded,
  study: Study<Table>,
  working: Working,
): Promise<Table> {
  const ids = Array.from({ length: study.runs }, (_, id) => id);
  const cancelled = await made(loaded, study, working, {
    ids,
    take: (id, one) => study.take(id, one as never),
  });
  const table = study.table();
  if (cancelled) tell(`rampwright: cancelled with ${table.missing} of ${study.runs} runs not made`);
  return table;
}

/** One slice of a study, kept in a file; it is complete when all its runs are made. */
export async function sliceStudied(
  loaded: Loaded,
  study: Study,
  working: Working,
  { slice, out }: { readonly slice: SliceOf; readonly out: string },
): Promise<SliceDone> {
  const { runs } = study;
  const ids = runsOfSlice(runs, slice);
  const found: [number, unknown][] = [];
  const cancelled = await made(loaded, study, working, { ids, take: (id, one) => found.push([id, one]) });
  found.sort((a, b) => a[0] - b[0]);
  await keepSlice(out, { asked: working.asked, source: loaded.source, slice, runs, found });
  if (cancelled)
    tell(`rampwright: cancelled with ${ids.length - found.length} of ${ids.length} runs not made`);
  return { title: loaded.design.title, slice, runs, asked: ids.length, made: found.length };
}

/** A run that takes as long as a hundred others is not begun last, when there is nothing left to do beside it. */
function heaviestFirst(ids: readonly number[], study: Study): readonly number[] {
  if (!study.weight) return ids;
  const weights = new Map(ids.map((id) => [id, study.weight!(id)]));
  return [...ids].sort((a, b) => weights.get(b)! - weights.get(a)! || a - b);
}

/** Makes runs; true where it was cancelled on the way. */
function made(
  { design, source }: Loaded,
  study: Study,
  { asked, workers, bar }: Working,
  { ids, take }: { readonly ids: readonly number[]; take(id: number, found: unknown): void },
): Promise<boolean> {
  const simulate: SimulateOptions = asked.options.simulate ?? {};
  const corners = 1 + cornersOf(design, toNumber(plan(design, simulate).until));
  let done = 0;
  const { text, name, values, brought } = source;
  const jobs = new Jobs<unknown>({
    ids: heaviestFirst(ids, study),
    first: study.first,
    workers,
    work: corners * design.parts.length * ids.length,
    inHand: 2,
    task: { text, name, values, brought, asked },
    perform: (id) => study.perform(id),
    take: (id, one) => {
      take(id, one);
      bar.at(++done, ids.length);
    },
    lost: (id, reason) => {
      bar.clear();
      tell(`rampwright: run ${id} ended its worker every time: ${printable(reason)}`);
    },
  });
  return jobs.interruptible(bar);
}
