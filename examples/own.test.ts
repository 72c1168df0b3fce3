// A builder's own design under test, in five lines; what fails shows the figures, the limit and the trace.
import { readFileSync } from "node:fs";
import { compile } from "rampwright";
import { expect, test } from "vitest";
import "rampwright/vitest";

const text = readFileSync(new URL("line.ramp", import.meta.url), "utf8");

test("the line sweep", () => expect(compile(text)).toPassAllChecks());
