// Figures as a reader wants them: expected and found values to fifteen digits, errors to two, powers of ten raised.

/** Too small for a bar. */
export const negligible = Symbol("too small");

const shown = 12;

/** A value, up to fifteen digits, in groups of three behind the point where it has many. */
export function number(x: number): string {
  if (x === 0) return "0";
  if (Number.isInteger(x) && Math.abs(x) < 1e6) return minus(`${x}`);
  const size = Math.floor(Math.log10(Math.abs(x)));
  if (size >= -3 && size < 6) return minus(grouped(`${Number(x.toPrecision(15))}`));
  const [digits, exponent] = x.toExponential(14).split("e");
  return minus(`${grouped(`${Number(digits)}`)} · 10${raised(Number(exponent))}`);
}

/** An error: two digits and a power of ten. */
export function power(x: number): string {
  if (x === 0) return "0";
  if (!Number.isFinite(x)) return Number.isNaN(x) ? "none" : "∞";
  if (x < 0) return `−${power(-x)}`;
  if (x >= 0.01 && x < 1000) return `${Number(x.toPrecision(2))}`;
  const [digits, exponent] = x.toExponential(1).split("e");
  return `${Number(digits)} · 10${raised(Number(exponent))}`;
}

/** Where an error lies on twelve powers of ten that end at the tolerance: 0 to 1. */
export function fraction(error: number, tolerance: number): number | typeof negligible {
  if (error === 0) return negligible;
  const decades = Math.log10(error / tolerance) + shown;
  return decades <= 0 ? negligible : Math.min(1, decades / shown);
}

function raised(exponent: number): string {
  return `<sup>${minus(`${exponent}`)}</sup>`;
}

function minus(text: string): string {
  return text.replace(/^-/, "−");
}

// Thin spaces, so that fifteen digits can be read and still be one word.
function grouped(text: string): string {
  const [whole, part] = text.split(".");
  return part === undefined ? whole : `${whole}.${part.replace(/(\d{3})(?=\d)/g, "$1\u2009")}`;
}
