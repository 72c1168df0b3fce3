// What is judged: a run by itself, or a design with all its cases. V = I t / C: 4 V at 60 us, 2 V with half the current.
import { describe, expect, it } from "vitest";
import { compile, type DesignError, simulate, verify, verifyAll } from "../../src/index.js";

const design = compile(`
supply rail = 12 V
current feed rail -> ramp 1 mA
capacitor hold ramp -> ground 15 nF, starts 0 V
run for 80 us, from rest
check "drawn" value of ramp at 60 us is 4 V +- 0.001 %
case "weak" feed is 0.5 mA
check "weak" value of ramp at 60 us is 2 V +- 0.001 %
case "unasked" feed is 2 mA`);
const names = (results: { name: string; case: string; pass: boolean }[]) =>
  results.map((r) => [r.name, r.case, r.pass]);

describe("verify", () => {
  it("judges the run it is given, and runs nothing", () => {
    expect(names(verify(simulate(design)))).toEqual([["drawn", "", true]]);
    expect(names(verify(simulate(design, { case: "weak" })))).toEqual([["weak", "weak", true]]);
    expect(verify(simulate(design, { case: "unasked" }))).toEqual([]);
  });

  it("refuses what is no run", () => {
    expect(() => verify(design as never)).toThrow("expected a run");
  });
});

describe("verifyAll", () => {
  it("judges every case that asks something, each on a run of its own", () => {
    const runs: string[] = [];
    const results = verifyAll(design, { ran: (run) => runs.push(run.design.caseName) });
    expect(names(results)).toEqual([
      ["drawn", "", true],
      ["weak", "weak", true],
    ]);
    expect(runs).toEqual(["", "weak"]);
  });

  it("tells each case what each run by itself tells", () => {
    const each = ["", "weak"].flatMap((name) => verify(simulate(design, { case: name })));
    expect(verifyAll(design)).toEqual(each);
  });

  it.each(["case", "stream"])("has no use for %s", (name) => {
    let found: DesignError | undefined;
    try {
      verifyAll(design, { simulate: { [name]: "weak" } as never });
    } catch (error) {
      found = error as DesignError;
    }
    expect(found?.diagnostics[0]).toMatchObject({ code: "bad-option", hint: "leave it out" });
  });
});
