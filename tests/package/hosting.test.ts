// What a host of the project reads of it: the workflows, the forms, and what the package says of itself to a registry. Names of files and
// keys: the documentation of workflow syntax and of community health files, and that of package.json (from memory).
import { existsSync, readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { root } from "../command/running.js";

const read = (path: string) => readFileSync(join(root, path), "utf8");

/** The jobs of a workflow, as texts by their name. */
function jobsOf(workflow: string): Map<string, string> {
  const [, jobs] = read(`.github/workflows/${workflow}`).split(/^jobs:$/m);
  const parts = jobs.split(/^ {2}(\w+):$/m).slice(1);
  return new Map(parts.flatMap((name, i) => (i % 2 === 0 ? [[name, parts[i + 1]] as const] : [])));
}

test("every change and every tag is tested whole, on each Node that is promised", () => {
  const { engines } = JSON.parse(read("package.json"));
  expect(engines.node).toBe(">=20");
  for (const job of [jobsOf("ci.yml").get("run"), jobsOf("release.yml").get("test")]) {
    expect(job).toContain("node: [20, 22, 24]");
    expect(job).toMatch(/ run: .* \.ci\/run$/m);
  }
  expect(read(".github/workflows/ci.yml")).toMatch(/^on:[\s\S]*push:[\s\S]*pull_request:/m);
});

test("a tag is published with its provenance, after its tests, if it is that of the package", () => {
  expect(read(".github/workflows/release.yml")).toMatch(/^on:\n {2}push:\n {4}tags: \["v/m);
  const publish = jobsOf("release.yml").get("publish")!;
  expect(publish).toContain("needs: test");
  expect(publish).toContain("id-token: write");
  expect(publish.indexOf("package.json")).toBeLessThan(publish.indexOf("npm publish --provenance"));
  const { publishConfig, keywords, license } = JSON.parse(read("package.json"));
  expect(publishConfig).toEqual({ access: "public", provenance: true });
  expect(license).toBe("MIT");
  expect(keywords.length).toBeGreaterThan(5);
});

test("whoever reports or changes something finds a form, and the rules", () => {
  for (const file of ["SECURITY.md", "CODE_OF_CONDUCT.md", "pull_request_template.md"])
    expect(read(`.github/${file}`).length, file).toBeGreaterThan(200);
  const forms = readdirSync(join(root, ".github/ISSUE_TEMPLATE")).filter((name) => name !== "config.yml");
  expect(forms.length).toBeGreaterThan(1);
  for (const form of forms)
    expect(read(`.github/ISSUE_TEMPLATE/${form}`), form).toMatch(
      /^name: [\s\S]*^description: [\s\S]*^body:$/m,
    );
});

test("what the workflows, the forms and the recipe of a release run is there", () => {
  const { scripts } = JSON.parse(read("package.json"));
  const asked = readdirSync(join(root, ".github"), { recursive: true, encoding: "utf8" })
    .filter((name) => /\.(yml|md)$/.test(name))
    .flatMap((name) => [...read(join(".github", name)).matchAll(/npm run ([\w:]+)/g)])
    .concat([...read("DEVELOPERS.md").matchAll(/npm run ([\w:]+)/g)]);
  expect(asked.length).toBeGreaterThan(5);
  for (const [, name] of asked) expect(scripts, name).toHaveProperty([name]);
  expect(existsSync(join(root, ".ci/run"))).toBe(true);
});
