// The table of circuits with exact answers: fifteen numbered rows, then what goes beyond them. One table for the tests,
// for the ratchet of bounds and for the page that `npm run verify:report` writes.
import type { Row } from "./claim.js";
import { laws } from "./laws.js";
import { likeness } from "./likeness.js";
import { linear } from "./linear.js";
import { orders } from "./orders.js";
import { random } from "./random.js";
import { settling } from "./settling.js";
import { shares } from "./sharing.js";
import { sources } from "./sources.js";
import { switched } from "./switched.js";

/** Every row, the numbered ones first and in order. */
export const table: readonly Row[] = [
  ...[...linear, ...switched, ...shares, ...sources, ...laws, ...likeness, ...random].sort(
    (a, b) => Number(a.row) - Number(b.row),
  ),
  ...orders,
  ...settling,
];
