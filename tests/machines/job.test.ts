// The indexed job of Kubernetes: its file against the published schema, and its command for every index, as a cluster would start
// it, with what the API says about the index (from 0, in JOB_COMPLETION_INDEX).
import { spawnSync } from "node:child_process";
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { Ajv } from "ajv";
import { expect, it } from "vitest";
import { root } from "../command/running.js";
import { expectWhole, slices, studyFolder, trials } from "./study.js";

const read = (path: string) => JSON.parse(readFileSync(join(root, path), "utf8"));
const job = read("examples/machines/job.json");
const valid = new Ajv({ strictRequired: false }).compile(read("tests/machines/job.schema.json"));
const [container] = job.spec.template.spec.containers;

it("is a job as the schema has it", () => {
  valid(job);
  expect(valid.errors ?? []).toEqual([]);
});

it.each<[string, (one: typeof job) => void]>([
  ["a misspelt name", (one) => (one.spec.parallelsim = 3)],
  ["no completions", (one) => delete one.spec.completions],
  ["a number as text", (one) => (one.spec.completions = "100")],
  ["an end that a job cannot have", (one) => (one.spec.template.spec.restartPolicy = "Always")],
  ["no template", (one) => delete one.spec.template],
  ["retries by index without one", (one) => delete one.spec.completionMode],
])("the schema refuses %s", (_, spoil) => {
  const one = structuredClone(job);
  spoil(one);
  expect(valid(one)).toBe(false);
});

it("its volume is there, and the command asks for as many slices as the job has", () => {
  const { volumes } = job.spec.template.spec;
  expect(container.volumeMounts.map((one: { name: string }) => one.name)).toEqual(
    volumes.map((one: { name: string }) => one.name),
  );
  expect(container.workingDir).toBe(container.volumeMounts[0].mountPath);
  expect(container.command[2]).toContain(`+ 1))/${job.spec.completions} `);
});

it("its command, for every index, makes what one run gives; a pod that dies is started again", () => {
  const { path, env } = studyFolder(true);
  const script = container.command[2]
    .replace(`/${job.spec.completions} `, `/${slices} `)
    .replace("--trials 1000000", trials.join(" "));
  writeFileSync(join(path, "asked"), script);
  const tries = Array.from({ length: slices }, (_, index) => {
    const start = () =>
      spawnSync("sh", ["-c", script], {
        cwd: path,
        env: { ...env, JOB_COMPLETION_INDEX: String(index) },
        encoding: "utf8",
      }).status;
    let count = 1;
    while (start() !== 0 && count <= job.spec.backoffLimitPerIndex) count++;
    return count;
  });
  expect(tries).toEqual([1, 2, 1, 1]);
  expectWhole(path);
});
