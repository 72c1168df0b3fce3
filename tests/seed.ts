// Random tests try the same every time, so that a change is judged by what it changed and by nothing else; SEED in the
// environment tries another beginning, and `npm run fuzz` always takes new ones.
import fc from "fast-check";

fc.configureGlobal({ seed: Number(process.env["SEED"] ?? 1) });
