// What the tests of bad input share: a design that works, the demands on every diagnostic, and mends applied as an
// editor would. A diagnostic is whole when it has a code in kebab case, a severity, one sentence of reason, and a
// place that lies in the text.
import { expect } from "vitest";
import { type Diagnostic, inspect } from "../../src/index.js";

/** The line sweep of the nest-box monitor. */
export const nestbox = `title "Nest-box monitor, line sweep"
given timing = 15 nF +- 5 %
given charge = 1.00 mA +- 2 %
supply plus12 = 12 V
supply plus5  = 5 V
signal gate   = pulse 0 V to 5 V, wide 4.7 us, every 64 us, edges 200 ns
current   feed   plus12 -> ramp    charge, headroom 0.9 V, output 2 Mohm
capacitor hold   ramp -> ground    timing
switch    reset  ramp -> ground    closed while gate above 2.5 V, on 5 ohm
diode     guard  ramp -> plus5     drop 0.6 V, on 10 ohm
check "fills the tube"      peak of ramp each gate is 3.95 V +- 3 %
check "starts from nothing" floor of ramp each gate below 20 mV
check "straight enough"     sweep error of ramp each gate below 1 %
case "camera unplugged"  gate stops at 2 ms
check "guard holds"         peak of ramp after 10 ms between 5.5 V and 5.7 V
`;

/** Demands that a diagnostic is whole. */
export function whole(d: Diagnostic, text: string): void {
  expect(d.code).toMatch(/^[a-z][a-z0-9]*(-[a-z0-9]+)*$/);
  expect(["error", "warning"]).toContain(d.severity);
  expect(d.message.length).toBeGreaterThan(8);
  // What stands in quotes is the writer's own.
  expect(d.message.replaceAll(/'[^']*'/g, "")).not.toMatch(/[\r\n]|undefined|NaN|\[object/);
  const lines = text.split(/\r\n|\r|\n/);
  for (const span of [d.span, ...(d.fix ? [d.fix.span] : []), ...(d.related ?? []).map((r) => r.span)]) {
    expect(
      Number.isInteger(span.line) && Number.isInteger(span.column) && Number.isInteger(span.length),
    ).toBe(true);
    expect(span.line).toBeGreaterThanOrEqual(1);
    expect(span.line).toBeLessThanOrEqual(lines.length);
    expect(span.column).toBeGreaterThanOrEqual(1);
    // The end of a line is a place; a byte-order mark is no column.
    expect(span.column).toBeLessThanOrEqual((lines[span.line - 1] ?? "").length + 1);
    expect(span.length).toBeGreaterThanOrEqual(0);
  }
}

/** Diagnostics of a text as `line:column code`, each of them whole; warnings are marked. */
export function told(text: string): string[] {
  return inspect(text).diagnostics.map((d) => {
    whole(d, text);
    return `${d.severity === "warning" ? "warning " : ""}${d.span.line}:${d.span.column} ${d.code}`;
  });
}

/** The errors alone. */
export const errors = (text: string): string[] => told(text).filter((t) => !t.startsWith("warning"));

/** The text with a diagnostic's mend put in. */
export function mended(text: string, d: Diagnostic): string {
  const { span, text: put } = d.fix!;
  const lines = text.split("\n");
  const line = lines[span.line - 1];
  lines[span.line - 1] = line.slice(0, span.column - 1) + put + line.slice(span.column - 1 + span.length);
  return lines.join("\n");
}
