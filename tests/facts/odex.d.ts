// The types of odex as these tests use it: the package hands out its TypeScript sources, which do not pass our settings.
export class Solver {
  constructor(n: number);
  absoluteTolerance: number;
  relativeTolerance: number;
  initialStepSize: number;
  maxStepSize: number;
  maxSteps: number;
  solve(
    f: (x: number, y: number[]) => number[],
    x: number,
    y: number[],
    xEnd: number,
    sol?: (n: number, xOld: number, x: number, y: number[]) => boolean | undefined,
  ): { y: number[]; outcome: number };
}
