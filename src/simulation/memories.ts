// What a settled start leaves open: a part that keeps its mode for the whole period may as well keep another for all of it, as a
// bistable does whose clock never comes. Then there are as many settled states as it has such modes, and the search has found one.
import { atOnce, type Sliced } from "../base/slices.js";
import { Unsolvable } from "../equations/topology.js";
import type { Device } from "../parts/contract.js";
import { Settler } from "../stepping/modes.js";
import { CutOff, NoMode, only } from "../stepping/nomode.js";
import type { Begin } from "../stepping/start.js";
import { type Shooting, type Shot, shot } from "./shooting.js";

/** The most other states that a period is marched from. */
const mostOthers = 8;

/** Parts with a memory that are otherwise in another settled state, of those that a control turns. */
export function* otherwiseSettled(shooting: Shooting, begin: Begin, found: Shot): Sliced<number[]> {
  const { system } = shooting.assembly;
  const { guardOf } = system.combination(begin.modes).equations;
  const kept = new Set(guardOf.flatMap(({ part, control }) => (control ? [part] : [])));
  const otherwise = new Set<number>();
  const met = new Set<string>();
  for (const part of kept) {
    if (found.turned.has(part)) continue;
    const { device } = system.members[part];
    const ways = reachable(device, begin.modes[part]);
    for (let mode = 0; mode < device.modes.length && met.size < mostOthers; mode++) {
      yield;
      if (!ways.has(mode) || mode === begin.modes[part] || device.dwell?.(mode) || otherwise.has(part))
        continue;
      const modes = around(shooting, begin, part, mode);
      if (!modes || modes[part] === begin.modes[part] || met.has(modes.join())) continue;
      met.add(modes.join());
      const other = yield* shot(shooting, { ...begin, modes });
      if (other.ending.status === "stopped" || other.begin.modes[part] !== modes[part]) continue;
      if (other.turned.has(part)) continue;
      for (const p of kept) if (modes[p] !== begin.modes[p] && !found.turned.has(p)) otherwise.add(p);
    }
  }
  return [...otherwise].sort((a, b) => a - b);
}

/** The modes that a part can come to at all. */
function reachable(device: Device, from: number): ReadonlySet<number> {
  const found = new Set([from]);
  for (const mode of found) {
    for (const { to } of device.guards(mode)) found.add(to);
    const dwell = device.dwell?.(mode);
    if (dwell) found.add(dwell.to);
  }
  return found;
}

/** The modes in which everything else follows a part that is in another mode, if it then stays there; else undefined. */
function around(
  { assembly }: Shooting,
  { x, modes }: Begin,
  part: number,
  mode: number,
): Uint8Array | undefined {
  const { system } = assembly;
  const inputs = assembly.inputs();
  const [u, du, crest] = [0, 1, 2].map(() => new Float64Array(inputs.size));
  u[0] = 1;
  const sources = { u, du, crest };
  inputs.place(0, 1, sources);
  inputs.crests(0, 1, crest);
  const turned = modes.slice();
  turned[part] = mode;
  try {
    const settler = new Settler(system, x.map(Math.abs), inputs);
    const { at } = atOnce(settler.settling(turned, { ...sources, x: x.slice() }, undefined, new Set([part])));
    const own = settler.violations(at, x, sources).some((g) => at.equations.guardOf[g].part === part);
    return own ? undefined : at.modes;
  } catch (error) {
    only<unknown>(error, NoMode, CutOff, Unsolvable);
    return undefined;
  }
}
