// Loaded before a program whose memory is measured: at its end it leaves what the whole process took in the file named
// by the environment. A thread of the program leaves nothing.
const { writeFileSync } = require("node:fs");
const { isMainThread } = require("node:worker_threads");

if (isMainThread) {
  process.on("exit", () => {
    const { maxRSS, userCPUTime, systemCPUTime } = process.resourceUsage();
    const used = { bytes: maxRSS * 1024, processor: (userCPUTime + systemCPUTime) / 1e6 };
    writeFileSync(process.env.BENCH_WEIGHED, JSON.stringify(used));
  });
}
