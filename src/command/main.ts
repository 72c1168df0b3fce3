#!/usr/bin/env node
// The program: the command line in, the exit status out. It loads almost nothing itself, so that help and the version
// appear at once, and a verb loads only what it needs.
import { command, packageVersion } from "./command.js";
import { setFlag } from "./engineflags.js";
import { verbs } from "./verbs.js";

// A command runs for seconds, and in each thread anew: with as much put into each function as V8 does by itself, half of the
// processor time of the whole board's check went into optimising code, not into running it.
setFlag("--max-inlined-bytecode-size-cumulative=200");

// Standard output and standard error are written synchronously; a reader that goes away must not raise an event.
for (const stream of [process.stdout, process.stderr]) stream.on("error", () => undefined);
process.exitCode = await command(process.argv.slice(2), verbs, packageVersion());
