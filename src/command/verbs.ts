// The verbs of the command. Each is loaded on demand, since most load what the others do not need.
import type { Verbs } from "./verb.js";

export const verbs: Verbs = {
  check: async () => (await import("./verbs/check.js")).checkVerb,
  run: async () => (await import("./verbs/run.js")).runVerb,
  report: async () => (await import("./verbs/report.js")).reportVerb,
  picture: async () => (await import("./verbs/picture.js")).pictureVerb,
  draw: async () => (await import("./verbs/draw.js")).drawVerb,
  live: async () => (await import("./verbs/live.js")).liveVerb,
  size: async () => (await import("./verbs/size.js")).sizeVerb,
  vary: async () => (await import("./verbs/vary.js")).varyVerb,
  spread: async () => (await import("./verbs/spread.js")).spreadVerb,
  faults: async () => (await import("./verbs/faults.js")).faultsVerb,
  diagnose: async () => (await import("./verbs/diagnose.js")).diagnoseVerb,
  sheet: async () => (await import("./verbs/sheet.js")).sheetVerb,
  stress: async () => (await import("./verbs/stress.js")).stressVerb,
  parts: async () => (await import("./verbs/parts.js")).partsVerb,
  pair: async () => (await import("./verbs/pair.js")).pairVerb,
  align: async () => (await import("./verbs/align.js")).alignVerb,
  match: async () => (await import("./verbs/match.js")).matchVerb,
  format: async () => (await import("./verbs/format.js")).formatVerb,
  editor: async () => (await import("./verbs/editor.js")).editorVerb,
  init: async () => (await import("./verbs/init.js")).initVerb,
  completion: async () => (await import("./verbs/completion.js")).completionVerb,
  help: async () => (await import("./verbs/help.js")).helpVerb,
};
