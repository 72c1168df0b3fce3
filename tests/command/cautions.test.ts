// Who is warned: whoever has a tube, or makes what leads to one, in whichever verb; and nobody else.
import { describe, expect, test } from "vitest";
import { rampwright, sound } from "./running.js";

const pulses = "signal gate = path 0 V at 0 s, 5 V at 1 us, every 64 us";
/** The ramp of `sound`, and a signal beside it that nothing follows. */
const beside = (signal: string) => sound.replace("run for", `${signal}\nrun for`);

describe("cautions", () => {
  test.each([
    ["line sync", beside("signal gate = line sync of 625/50, 0 V to 5 V, edges 200 ns")],
    ["video", beside("signal camera = video of 625/50, bars")],
    ["a shipped sweep", `bring "shipped/sweep"\n${sound}`],
    ["a name", sound.replaceAll("ramp", "line_sweep")],
  ])("%s brings them, in a line and in JSON", (_, text) => {
    const told = rampwright(["check", "-"], { input: text });
    expect(told.err).toMatch(/^CAUTION near a picture tube.*IEC 61965.*\n$/);
    const { cautions } = JSON.parse(rampwright(["check", "-", "--json"], { input: text }).out);
    for (const words of [
      "kilovolts",
      "Implosion",
      "X-radiation",
      "chassis",
      "burns the screen",
      "earth clip",
      "IEC 61010-1",
    ])
      expect(cautions.join(" ")).toContain(words);
  });

  test.each([
    ["a bare ramp", sound],
    ["pulses", beside(pulses)],
  ])("%s brings none", (_, text) => {
    expect(rampwright(["check", "-"], { input: text }).err).toBe("");
    expect(JSON.parse(rampwright(["check", "-", "--json"], { input: text }).out).cautions).toEqual([]);
  });

  const swept = beside("signal gate = line sync of 625/50, 0 V to 5 V, edges 200 ns");
  test.each([
    ["run", ["run", "-", "--out", "-"]],
    ["vary", ["vary", "-", "--value", "hold", "--from", "5nF", "--to", "20nF", "--points", "2"]],
  ])("%s tells them as well, on standard error", (_, words) => {
    const { out, err, status } = rampwright(words, { input: swept });
    expect(status).toBe(0);
    expect(err).toContain("CAUTION near a picture tube");
    expect(out).not.toContain("CAUTION");
  });

  test.each([
    ["vary", ["vary", "-", "--value", "hold", "--from", "5nF", "--to", "20nF", "--points", "2"]],
    ["stress", ["stress", "-"]],
    ["spread", ["spread", "-", "--trials", "2"]],
    ["faults", ["faults", "-"]],
  ])("the JSON of %s has them", (_, words) => {
    const data = JSON.parse(
      rampwright([...words, "--json"], { input: swept.replace("10 nF", "10 nF +- 0.1 %") }).out,
    );
    expect(data.cautions.length).toBeGreaterThan(5);
  });
});
