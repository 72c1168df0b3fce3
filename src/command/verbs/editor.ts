// The verb `editor`: the language server, for editors that speak the Language Server Protocol.
import { packageVersion } from "../command.js";
import { flag } from "../option.js";
import { status } from "../refusal.js";
import { verb } from "../verb.js";

export const editorVerb = verb({
  word: "editor",
  summary:
    "serves a code editor: mistakes with their mends, completion, names, layout (Language Server Protocol)",
  options: {
    // Editors say which of several channels they mean; there is only this one.
    stdio: flag("speak on standard input and output, as is done without it"),
  },
  more: "It is started by an editor, and ends with it.",
  example: "editor --stdio",
  statuses: { 0: "the editor took its leave", 3: "it went without" },
  async run() {
    const { serve } = await import("../../editor/server.js");
    return serve(process.stdin, process.stdout, packageVersion());
  },
  text: () => "",
  status: (left) => (left === 0 ? status.good : status.stopped),
});
