// Row 15: random circuits against answers worked out independently. The table takes a few hundred in the CI; the tests beside it
// take ten thousand, and `npm run verify:long` a hundred thousand.
import { tries } from "../counts.js";
import { faults } from "../verify/diodes.js";
import { compareMany } from "../verify/passive.js";
import { once, type Row } from "./claim.js";

const count = tries(500);
const met = once(() => compareMany(1, count));

export const random: readonly Row[] = [
  {
    row: "15",
    title: "Random passive circuits of up to twelve states, and of up to ten diodes",
    source:
      "matrix exponential by scaling and squaring (Higham, SIAM J. Matrix Anal. Appl. 26(4), 2005; Moler & Van Loan, " +
      "SIAM Review 45(1), 2003); one answer for passive circuits with diodes (Murty, Linear Complementarity, 1988)",
    note:
      "In the norm of the stored energy every error is at most K h² with K = T/12 · ‖x‴(0)‖, for any step and each of " +
      "the three methods; each circuit has its own bound. Ten thousand of them run with the tests, a hundred thousand " +
      "with verify:long.",
    claims: [
      {
        what: "passive circuits of chance: how many err by more than K h²",
        expected: 0,
        kind: "absolute",
        bound: 0,
        got: () => met().beyond.length,
      },
      {
        what: "passive circuits of chance: largest error as a share of K h² and rounding",
        expected: 0,
        kind: "absolute",
        bound: 1,
        got: () => met().worst,
      },
      {
        what: "circuits of diodes by chance: how many start in other modes than all 2^n combinations show",
        expected: 0,
        kind: "absolute",
        bound: 0,
        got: () => {
          let wrong = 0;
          for (let seed = 1; seed <= count; seed++) if (faults(seed).length > 0) wrong++;
          return wrong;
        },
      },
    ],
  },
];
