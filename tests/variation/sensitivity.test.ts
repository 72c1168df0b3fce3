// Sensitivities against derivatives of V = I t / C, whose logarithm changes by one per cent a per cent of I and of C.
import { describe, expect, it } from "vitest";
import { compile, type DesignError, sensitivities } from "../../src/index.js";

const design = compile(`
supply p = 12 V
given half = 10 nF
current feed p -> ramp 1 mA
capacitor one ramp -> ground half
capacitor other ramp -> ground 10 nF
switch reset ramp -> ground closed before 10 us
run for 80 us
check "fills" value of ramp at 60 us is 2.5 V +- 3 %
case "weak" feed is 0.5 mA
check "weak fills" value of ramp at 60 us is 1.25 V +- 3 %`);

describe("sensitivities", () => {
  it.each(["fills", "weak fills"])("current and capacitances: %s", (check) => {
    const found = sensitivities(design, check);
    const of = (part: string) => found.find((s) => s.part === part && s.of === "value")!;
    const volts = check === "fills" ? 2.5 : 1.25;
    expect(found[0].part).toBe("feed");
    expect(of("feed")).toMatchObject({ unit: "A", nominal: check === "fills" ? 1e-3 : 0.5e-3 });
    expect(of("feed").relative).toBeCloseTo(1, 6);
    expect(of("feed").derivative / (volts / of("feed").nominal)).toBeCloseTo(1, 6);
    // Of two alike in parallel each is half of what stands there.
    for (const part of ["half", "other"]) {
      expect(of(part).relative).toBeCloseTo(-0.5, 6);
      expect(of(part).doubt).toBeLessThan(1e-4 * Math.abs(of(part).derivative));
    }
  });

  it("a named value moves all that stand with it", () => {
    const text = (other: string) => `
supply p = 12 V
given half = 10 nF
current feed p -> ramp 1 mA
capacitor one ramp -> ground half
capacitor other ramp -> ground ${other}
switch reset ramp -> ground closed before 10 us
run for 80 us
check "fills" value of ramp at 60 us above 2 V`;
    const [shared] = sensitivities(compile(text("half")), "fills").filter((s) => s.part === "half");
    expect(shared.relative).toBeCloseTo(-1, 6);
  });

  it("names the nearest check", () => {
    try {
      sensitivities(design, "fils");
      expect.unreachable();
    } catch (error) {
      const [d] = (error as DesignError).diagnostics;
      expect([d.code, d.hint]).toEqual(["unknown-check", 'did you mean "fills"?']);
    }
  });
});
