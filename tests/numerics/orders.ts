// The order that each method claims, measured: in smooth stretches, through edges that lie off the grid of steps, and
// across events that the state itself brings about. All three methods claim order 2.
import { farthest, last, once, order, type Row, run } from "./claim.js";
import { type Method, period, swinging } from "./switched.js";

/** A circuit with a closed form: its error at a fixed step. */
interface Trial {
  readonly title: string;
  /** Longest step, s; each trial halves it four times. */
  readonly longest: number;
  readonly error: (step: number, method: Method) => number;
}

const end = (text: string, until: string, exact: number) => (step: number, method: Method) =>
  last(run(text, { until, step, method, start: "rest" }).trace("out").value) - exact;

const ring = (() => {
  // v = 1 − exp(−αt)(cos ωt + α/ω sin ωt), α = R/2L, ω² = 1/LC − α² (any network text)
  const [alpha, t] = [5e3, 100e-6];
  const omega = Math.sqrt(1e9 - alpha * alpha);
  return 1 - Math.exp(-alpha * t) * (Math.cos(omega * t) + (alpha / omega) * Math.sin(omega * t));
})();

const trials: readonly Trial[] = [
  {
    title: "RC step, smooth",
    longest: 12.5e-6,
    error: end(
      `supply source = 5 V
       resistor feed source -> out 1 kohm
       capacitor hold out -> ground 1 uF`,
      "1 ms",
      5 * -Math.expm1(-1),
    ),
  },
  {
    title: "series RLC, ringing",
    longest: 0.5e-6,
    error: end(
      `supply source = 1 V
       resistor loss source -> a 10 ohm
       inductor coil a -> out 1 mH
       capacitor hold out -> ground 1 uF`,
      "100 us",
      ring,
    ),
  },
  {
    title: "RC behind a pulse whose edges lie off the grid",
    longest: 1.25e-6,
    error: end(
      `signal drive = pulse 0 V to 1 V, wide 333.3 us, first 137.1 us
       resistor feed drive -> out 1 kohm
       capacitor hold out -> ground 1 uF`,
      "1 ms",
      Math.exp(-0.5296) * -Math.expm1(-0.3333),
    ),
  },
  {
    title: "relaxation, events of the state",
    longest: 125e-9,
    error: (step, method) => swinging(step, method) - period,
  },
];

export const orders: readonly Row[] = [
  {
    row: "order",
    title: "The order that each method claims: 2",
    source:
      "trapezoid: Dahlquist, BIT 3 (1963); TR-BDF2: Bank et al., IEEE Trans. CAD 4(4) (1985), Hosea & Shampine, Appl. " +
      "Numer. Math. 20 (1996); exact values: closed forms",
    note:
      "Over four halvings of a step that is a hundredth of the shortest time constant or less. There the next power of " +
      "the step is below a hundredth; steps much shorter would meet rounding. Mixed has its two TR-BDF2 steps after " +
      "every jump, whose part in the error falls with the cube: it comes to 2 last. An edge off the grid leaves a " +
      "shorter step before it, of another length at every halving, so single halvings scatter and the whole counts.",
    claims: trials.flatMap(({ title, longest, error }) =>
      (["trapezoid", "tr-bdf2", "mixed"] as const).flatMap((method) => {
        const errors = once(() => [0, 1, 2, 3, 4].map((k) => error(longest / 2 ** k, method)));
        return [
          {
            what: `${title}: ${method}, over four halvings`,
            expected: 2,
            kind: "absolute" as const,
            bound: 0.02,
            got: () => order(errors()[0], errors()[4]) / 4,
          },
          ...(title.includes("off the grid")
            ? []
            : [
                {
                  what: `${title}: ${method}, in the last two halvings`,
                  expected: 2,
                  kind: "absolute" as const,
                  bound: 0.02,
                  got: () =>
                    farthest(
                      [2, 3].map((k) => order(errors()[k], errors()[k + 1])),
                      2,
                    ),
                },
              ]),
        ];
      }),
    ),
  },
];
