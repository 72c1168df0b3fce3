// Traces as an array of numbers in the format NPY 1.0 (NumPy, "NEP 1: a simple file format for NumPy arrays"; numpy.lib.format):
// a signature, the length of a header, the header (a dictionary of type, order and shape, padded so that the data begin at a
// multiple of 64 bytes), and the doubles, lowest byte first. The same traces give the same bytes on every machine.
import { sideBySide } from "./sidebyside.js";
import type { Trace } from "./trace.js";

/** Bytes of the signature, the version and the length of the header. */
const ahead = 10;
/** Alignment of the data, bytes. */
const aligned = 64;

/**
 * An array of doubles as an NPY file.
 * @param shape lengths of its axes; rows first
 * @throws RangeError where the shape does not match the data
 */
export function npyBytes(data: Float64Array, shape: readonly number[]): Uint8Array {
  if (shape.reduce((product, n) => product * n, 1) !== data.length)
    throw new RangeError(`${data.length} numbers do not fill ${shape.join(" x ")}`);
  const axes = shape.length === 1 ? `${shape[0]},` : shape.join(", ");
  const says = `{'descr': '<f8', 'fortran_order': False, 'shape': (${axes}), }`;
  const length = Math.ceil((ahead + says.length + 1) / aligned) * aligned - ahead;
  const header = `${says.padEnd(length - 1)}\n`;
  const bytes = new Uint8Array(ahead + length + 8 * data.length);
  const view = new DataView(bytes.buffer);
  bytes.set([0x93, 0x4e, 0x55, 0x4d, 0x50, 0x59, 1, 0]);
  view.setUint16(8, length, true);
  for (let i = 0; i < length; i++) bytes[ahead + i] = header.charCodeAt(i);
  for (let i = 0; i < data.length; i++) view.setFloat64(ahead + length + 8 * i, data[i], true);
  return bytes;
}

/**
 * Traces over the union of their instants, as one NPY file: a row per instant, with the time (s) first and then a column per
 * trace, as in `csvLines`, and as dense. At a jump there are two rows of equal time; outside its own span a trace is NaN.
 */
export function toNpy(traces: readonly Trace[]): Uint8Array {
  const columns = [...columnsOf(traces).values()];
  const rows = columns[0].length;
  const data = new Float64Array(rows * columns.length);
  columns.forEach((column, c) => {
    for (let r = 0; r < rows; r++) data[r * columns.length + c] = column[r];
  });
  return npyBytes(data, [rows, columns.length]);
}

/**
 * The same as one NPY file per column, by name: `time`, and each trace by its name (with its unit where it is called `time` too).
 */
export function npyColumns(traces: readonly Trace[]): Map<string, Uint8Array> {
  return new Map([...columnsOf(traces)].map(([name, data]) => [name, npyBytes(data, [data.length])]));
}

function columnsOf(traces: readonly Trace[]): Map<string, Float64Array> {
  const row = (cells: readonly (number | undefined)[], i: number) => {
    for (const [c, column] of columns.entries()) column[i] = cells[c] ?? Number.NaN;
  };
  let rows = 0;
  for (const { jumps } of sideBySide(traces)) rows += jumps ? 2 : 1;
  const time = new Float64Array(rows);
  const columns = traces.map(() => new Float64Array(rows));
  let i = 0;
  for (const { at, before, after, jumps } of sideBySide(traces)) {
    time[i] = at;
    if (jumps) row(before, i++);
    time[i] = at;
    row(after, i++);
  }
  const named = traces.map(({ name, unit }, c): [string, Float64Array] => [
    name === "time" ? `time (${unit})` : name,
    columns[c],
  ]);
  return new Map([["time", time], ...named]);
}
