// Things known by combination of modes: by a hash, with a list for each, since hashes may collide.

/** Finds things by the modes of all parts. */
export class ByModes<T> {
  private readonly bins = new Map<number, { readonly modes: Uint8Array; readonly thing: T }[]>();

  get(modes: Uint8Array): T | undefined {
    return this.bins.get(mixed(modes))?.find((one) => alike(one.modes, modes))?.thing;
  }

  /** Adds a thing that is not there yet; the modes must not change from here on. */
  add(modes: Uint8Array, thing: T): void {
    const hash = mixed(modes);
    const bin = this.bins.get(hash);
    if (bin) bin.push({ modes, thing });
    else this.bins.set(hash, [{ modes, thing }]);
  }
}

/** A hash of all modes. */
function mixed(modes: Uint8Array): number {
  let sum = 0;
  for (let p = 0; p < modes.length; p++) sum = Math.imul(sum ^ modes[p], 0x01000193) + p;
  return sum;
}

function alike(a: Uint8Array, b: Uint8Array): boolean {
  for (let p = 0; p < a.length; p++) if (a[p] !== b[p]) return false;
  return true;
}
