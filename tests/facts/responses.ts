// Closed forms of steps and sines through one and two time constants, for the sixty kinds (any network text).
const { PI, cos, exp, floor, sin, sqrt } = Math;
export const step = "signal s = path 0 V at 0 s, 0 V at 10 us, 5 V at 10 us";
export const after = (form: (t: number) => number) => (t: number) => (t < 10e-6 ? 0 : form(t - 10e-6));
export const charge = (tau: number) => (t: number) => 5 * -Math.expm1(-t / tau);
export const rail = "supply p = 10 V";

/** Driven damped second order from rest: x'' + 2a x' + w² x = w² V. */
export const second = (a: number, w: number, V: number) => (t: number) => {
  if (a < w) {
    const d = sqrt(w * w - a * a);
    return V * (1 - exp(-a * t) * (cos(d * t) + (a / d) * sin(d * t)));
  }
  if (a === w) return V * (1 - exp(-a * t) * (1 + a * t));
  const [p, q] = [a - sqrt(a * a - w * w), a + sqrt(a * a - w * w)];
  return V * (1 - (q * exp(-p * t) - p * exp(-q * t)) / (q - p));
};

/** A sine of amplitude V through 1/(1 + sτ), from rest. */
export const sineLag = (V: number, w: number, tau: number) => (t: number) => {
  const z = w * tau;
  return (V / (1 + z * z)) * (sin(w * t) - z * cos(w * t) + z * exp(-t / tau));
};

export const w1k = 2000 * PI;
export const sine = "signal s = sine -5 V to 5 V, at 1 kHz";
export const off = (t: number, period: number) => t - period * floor(t / period);
