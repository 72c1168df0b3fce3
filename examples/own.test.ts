// A builder's own design under test, in five lines.
import { readFileSync } from "node:fs";
import { compile, verifyAll } from "rampwright";
import { expect, test } from "vitest";

const text = readFileSync(new URL("line.ramp", import.meta.url), "utf8");

test.each(verifyAll(compile(text)))("$case: $name", (result) => {
  expect(result).toMatchObject({ pass: true });
});
