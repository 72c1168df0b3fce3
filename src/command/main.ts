#!/usr/bin/env node
// The program: the command line in, the exit status out. It loads next to nothing by itself, so that help and the version
// are there at once, and a verb brings no more than it needs.
import { command, packageVersion } from "./command.js";
import { verbs } from "./verbs.js";

// Standard output and standard error are written synchronously; a reader that leaves must not raise an event.
for (const stream of [process.stdout, process.stderr]) stream.on("error", () => undefined);
process.exitCode = await command(process.argv.slice(2), verbs, packageVersion());
