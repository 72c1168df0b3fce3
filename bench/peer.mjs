// The peer: the same equations in C, marched by SUNDIALS CVODE (Debian libsundials-dev) with variable order and step,
// root finding, and a fresh start at every corner and event. Takes a source beside this file; compiles it into out/bench.
// Always: where compiler or library is missing the peer is not ready and says why; nothing is installed, nothing is guessed.
import { spawnSync } from "node:child_process";
import { mkdirSync, readFileSync, writeFileSync } from "node:fs";

const libraries = ["cvode", "nvecserial", "sunmatrixdense", "sunlinsoldense"].map(
  (name) => `-lsundials_${name}`,
);

/** One compiled peer. */
export class Peer {
  constructor(program, reason) {
    this.program = program;
    this.reason = reason;
    this.ready = reason === undefined;
  }

  /** Compiles bench/NAME.c. */
  static made(name) {
    mkdirSync("out/bench", { recursive: true });
    const program = `out/bench/${name}-peer`;
    const made = spawnSync(
      "gcc",
      ["-O2", "-std=gnu11", "-o", program, `bench/${name}.c`, "bench/peer.c", ...libraries, "-lm"],
      { encoding: "utf8" },
    );
    if (made.error) return new Peer(program, "the peer has not run: there is no gcc");
    if (made.status === 0) return new Peer(program);
    const [first] = made.stderr.split("\n").filter((text) => /error|cannot find/.test(text));
    if (/(sundials|cvode|nvector|sunmatrix|sunlinsol).*No such file|cannot find -l/.test(first ?? ""))
      return new Peer(program, "the peer has not run: there is no SUNDIALS (Debian: libsundials-dev)");
    throw new Error(`the peer does not compile: ${first}`);
  }

  /** Marches so many seconds; gives the wall time of the march and its steps. */
  march(tolerance, until, extra = []) {
    return this.run([String(tolerance), String(until), "-", "-", ...extra]);
  }

  /** Values at the instants given, by place. */
  wave(tolerance, at, places, extra = []) {
    writeFileSync("out/bench/instants.bin", at);
    this.run([
      String(tolerance),
      String(at.at(-1)),
      "out/bench/instants.bin",
      "out/bench/wave.bin",
      ...extra,
    ]);
    const bytes = readFileSync("out/bench/wave.bin");
    const all = new Float64Array(bytes.buffer, bytes.byteOffset, bytes.byteLength / 8);
    return Array.from({ length: places }, (_, k) => at.map((_, i) => all[i * places + k]));
  }

  run(words) {
    const { status, stdout, stderr, signal } = spawnSync(this.program, words, { encoding: "utf8" });
    if (status !== 0) throw new Error(`the peer fails: ${stderr.trim() || signal}`);
    return JSON.parse(stdout);
  }
}

/** Instants for comparing waveforms: evenly over a stretch, so many that every part of a line is met. */
export function instants(from, to, count) {
  return Float64Array.from({ length: count }, (_, i) => from + ((to - from) * (i + 0.5)) / count);
}

/** Largest distance of two sets of waveforms, each as a share of its swing. */
export function distance(one, other, swings) {
  let worst = 0;
  one.forEach((values, k) => {
    values.forEach((v, i) => {
      // Not Math.max, which would let NaN pass for the rest.
      const off = Math.abs(v - other[k][i]) / swings[k];
      if (!(off <= worst)) worst = off;
    });
  });
  return worst;
}

/**
 * The peer at equal error: the loosest of the tolerances 1e-3, 3e-4, ... 1e-13 at which its waveforms are as near to the
 * truth as ours. Where none is, the one that comes nearest, and `reached` is false.
 * @param truth, ours by place, at the instants `at`; `extra` words for the program
 */
export function equally({ peer, length, at, truth, ours, swings, goes, extra = [] }) {
  const error = distance(ours, truth, swings);
  let nearest = { error: Number.POSITIVE_INFINITY, tolerance: 1e-3 };
  for (let k = 6; k <= 26 && !(nearest.error <= error); k++) {
    const tolerance = Number((10 ** (-k / 2)).toPrecision(1));
    let found;
    try {
      found = { tolerance, error: distance(peer.wave(tolerance, at, ours.length, extra), truth, swings) };
    } catch {
      // Tighter than its arithmetic can meet.
      break;
    }
    if (found.error < nearest.error) nearest = found;
  }
  let least;
  for (let k = 0; k < goes; k++) {
    const told = peer.march(nearest.tolerance, length, extra);
    if (!least || told.seconds < least.seconds) least = told;
  }
  const reached = nearest.error <= error;
  return { ...least, tolerance: nearest.tolerance, error: nearest.error, ourError: error, reached };
}
