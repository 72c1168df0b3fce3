// From edge to edge by leaps. Between two corners a combination is one straight system, so the state goes over in one
// product, whatever the length, unless a guard crosses before (watch.ts); then it goes to the tick behind the crossing.
// Always: a leap ends at a corner of a live source, at a command, at the end of a time, or at an event, and nothing else
// cuts it; a sample is kept at its end.
import type { Combination, System } from "../equations/system.js";
import type { Courses } from "./courses.js";
import { Flight } from "./flight.js";
import type { Inputs } from "./inputs.js";
import type { Host, Instant, Mover } from "./mover.js";
import type { Crossing } from "./tangent.js";
import { Watch } from "./watch.js";

/** Moves by leaps. */
export class Leaps implements Mover {
  n = 0;
  readonly now: Instant;
  readonly rejected = 0;
  readonly exact = true;
  /** Largest size each state has had. */
  readonly swing: Float64Array;
  private flight!: Flight;
  private readonly flights: Flight[] = [];
  /** The next corner of each source, as far as it has been played. */
  private readonly due: Float64Array;
  private readonly watch = new Watch();
  private swung = 0;

  constructor(
    private readonly system: System,
    private readonly inputs: Inputs,
    private readonly courses: Courses,
    private readonly host: Host,
  ) {
    const [nx, nu] = [system.states.length, inputs.size];
    this.now = {
      x: new Float64Array(nx),
      u: new Float64Array(nu),
      du: new Float64Array(nu),
      f: new Float64Array(nx),
    };
    this.now.u[0] = 1;
    this.swing = new Float64Array(nx);
    this.due = new Float64Array(inputs.players.length).fill(Number.NEGATIVE_INFINITY);
  }

  get at(): Combination {
    return this.flight.at;
  }

  get mostHeld(): number {
    return this.system.states.reduce(
      (sum, { size }, i) => sum + 0.5 * size * this.swing[i] * this.swing[i],
      0,
    );
  }

  get matrices(): number {
    return this.courses.matrices;
  }

  get grown(): number {
    let sum = this.swung;
    for (const flight of this.flights) if (flight) sum += flight.grown;
    return sum;
  }

  shift(ticks: number): void {
    this.n += ticks;
    // Where a source stands follows from the tick alone.
    this.due.fill(Number.NEGATIVE_INFINITY);
    for (const { source } of this.flight.motion.voices) this.play(source - 1);
  }

  enter(at: Combination): void {
    this.flight = this.flights[at.index] ??= new Flight(at, this.courses.of(at), this.inputs);
    const { flight, now } = this;
    for (const { source } of flight.motion.voices) this.play(source - 1);
    flight.begin(now.x, this.swing);
    flight.aim(this.n);
    for (let i = 0; i < now.f.length; i++) now.f[i] = flight.d[i];
    this.grow(now.x);
  }

  sources(): void {
    for (let p = 0; p < this.due.length; p++) this.play(p);
    this.inputs.levels(this.n, this.now.u);
    this.inputs.slopes(this.n, this.now.du);
  }

  corner(end: number): number {
    let first = end;
    for (const { source } of this.flight.motion.voices) first = Math.min(first, this.due[source - 1]);
    return first;
  }

  turn(): boolean {
    const { n, inputs, due } = this;
    let jumps = false;
    for (const { source } of this.flight.motion.voices) {
      if (due[source - 1] > n) continue;
      jumps ||= inputs.players[source - 1].jumpAt(n);
      this.play(source - 1);
    }
    return jumps;
  }

  toward(edge: number): readonly number[] {
    const { flight, n, inputs, watch } = this;
    const { pieces } = flight;
    flight.aim(n);
    const length = edge - n;
    const recurs = inputs.recurs(n, edge, flight.motion.voices);
    const found = watch.first(flight, length, recurs);
    const reached = found ? found.after : length;
    if (reached > 0) {
      watch.passed(reached, this.seen);
      if (found || !watch.reached) pieces.leap(flight.z, reached, recurs && reached === length);
      else flight.z.set(watch.reached);
      this.land(reached, recurs && reached === length);
    }
    return found ? found.guards : [];
  }

  crossing(g: number): Crossing {
    const { flight, now } = this;
    const { guards, nx } = flight.at.equations;
    flight.motion.derive(flight.z, flight.d);
    return {
      motion: flight.d.slice(0, now.x.length),
      gradient: guards.X.slice(g * nx, (g + 1) * nx),
      rate: flight.slope(g, flight.d),
    };
  }

  /** Makes the end of a leap the present instant. */
  private land(length: number, recurs: boolean): void {
    const { flight, now, inputs } = this;
    const { z, pieces, at } = flight;
    this.n += length;
    for (let i = 0; i < now.x.length; i++) now.x[i] = z[i];
    // States that follow others are set anew, so that no drift is taken for a loss.
    if (at.equations.ties.length > 0) {
      inputs.levels(this.n, now.u);
      at.equations.follow(now.x, now.u);
      for (let i = 0; i < now.x.length; i++) z[i] = now.x[i];
    }
    this.grow(now.x);
    flight.grow();
    this.host.kept(false, (column) => {
      const whole = new Float64Array(z.length);
      whole.set(column);
      pieces.leap(whole, length, recurs);
      for (let i = 0; i < column.length; i++) column[i] = whole[i];
    });
  }

  /** Source p on the stretch that begins at the present tick, or holds it. */
  private play(p: number): void {
    const { n, inputs, due } = this;
    if (due[p] > n) return;
    const player = inputs.players[p];
    player.seek(n, 1);
    due[p] = player.next(n);
  }

  /** What flows inside a leap counts too: a current may rise and come to rest within one. */
  private readonly seen = (z: Float64Array): void => {
    this.flight.grow(z);
    this.grow(z);
  };

  private grow(x: Float64Array): void {
    const { swing } = this;
    for (let i = 0; i < swing.length; i++) {
      const size = Math.abs(x[i]);
      if (!(size < Number.POSITIVE_INFINITY)) this.host.astray(i);
      if (size > swing[i]) {
        swing[i] = size;
        this.swung++;
      }
    }
  }
}
