// The thread of warm.ts: runs the program again and again, each time as if it were new, and catches what it writes.
import fs from "node:fs";
import { syncBuiltinESMExports } from "node:module";
import { pathToFileURL } from "node:url";
import { workerData } from "node:worker_threads";

const { program, port, ended } = workerData;
const { writeSync, readFileSync } = fs;
const own = { ...process.env };
let input = "";
let pieces = [[], []];

fs.writeSync = (descriptor, data, ...rest) => {
  if (descriptor !== 1 && descriptor !== 2) return writeSync(descriptor, data, ...rest);
  const bytes = typeof data === "string" ? Buffer.from(data) : Buffer.from(data.subarray(rest[0] ?? 0));
  pieces[descriptor - 1].push(bytes);
  return bytes.length;
};
fs.readFileSync = (path, ...rest) => (path === 0 ? Buffer.from(input) : readFileSync(path, ...rest));
syncBuiltinESMExports();
for (const stream of [process.stdout, process.stderr]) stream.setMaxListeners(0);

let run = 0;
port.on("message", async ({ words, input: given, env }) => {
  input = given;
  pieces = [[], []];
  for (const name of Object.keys(process.env)) if (!(name in own)) delete process.env[name];
  Object.assign(process.env, own, env);
  process.argv = [process.execPath, program, ...words];
  process.exitCode = undefined;
  let status = null;
  try {
    // Its pieces are read once; the program itself is new under another name.
    await import(`${pathToFileURL(program).href}?run=${run++}`);
    status = process.exitCode ?? 0;
  } catch (error) {
    pieces[1].push(Buffer.from(`${error.stack}\n`));
  }
  const [out, err] = pieces.map((some) => Buffer.concat(some).toString("utf8"));
  port.postMessage({ status, out, err });
  Atomics.add(ended, 0, 1);
  Atomics.notify(ended, 0);
});
