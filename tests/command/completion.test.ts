// The scripts that make shells complete, each asked by its own shell as somebody at a terminal asks it: bash by the function that it
// calls, zsh in a terminal of its own with the keys pressed, fish by its own word for it. A shell that is not installed is
// left out, which the run of the tests shows as skipped; the CI installs them.
import { spawnSync } from "node:child_process";
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { folder, rampwright } from "./running.js";

const script = (shell: string) => rampwright(["completion", shell]).out;
const has = (shell: string) => spawnSync(shell, ["-c", "exit 0"]).status === 0;

/** What stands behind a line when the key for completion has been pressed, where one thing alone can follow. */
const single: readonly (readonly [string, string])[] = [
  ["rampwright ch", "rampwright check "],
  ["rampwright check --rep", "rampwright check --reporter "],
  ["rampwright check --reporter gi", "rampwright check --reporter github "],
  ["rampwright completion f", "rampwright completion fish "],
  ["rampwright help va", "rampwright help vary "],
  // Files are left to the shell.
  ["rampwright run x.ramp --out wav", "rampwright run x.ramp --out waves.csv "],
  ["rampwright check wav", "rampwright check waves.csv "],
];

/** A folder with one file, and the script by the name that its shell looks for. */
function home(shell: string, name: string): { readonly path: string; readonly file: string } {
  const path = folder();
  writeFileSync(join(path, "waves.csv"), "");
  const file = join(path, name);
  writeFileSync(file, script(shell));
  return { path, file };
}

describe("completion", () => {
  it("bash offers verbs, options and the words of an option", () => {
    const offered = (...words: string[]) => {
      const line = words.map((word) => `'${word}'`).join(" ");
      const ask = `COMP_WORDS=(${line}); COMP_CWORD=${words.length - 1}; _rampwright; printf '%s\\n' "\${COMPREPLY[@]}"`;
      const done = spawnSync("bash", ["-c", `${script("bash")}\n${ask}`], { encoding: "utf8" });
      expect(done.stderr).toBe("");
      return done.stdout.trim().split("\n");
    };
    expect(offered("rampwright", "s")).toEqual(["size", "spread", "sheet", "stress"]);
    expect(offered("rampwright", "check", "--p")).toEqual(["--periods", "--pictures", "--png"]);
    expect(offered("rampwright", "check", "--reporter", "j")).toEqual(["json", "junit"]);
    expect(offered("rampwright", "completion", "")).toContain("fish");
    expect(offered("rampwright", "help", "va")).toEqual(["vary"]);
    expect(offered("rampwright", "run", "x.ramp", "--out", "")).toEqual([""]);
  });

  it.runIf(has("zsh"))("zsh completes in a terminal, from the first key on", () => {
    const { path, file } = home("zsh", "_rampwright");
    expect(spawnSync("zsh", ["-n", file]).status).toBe(0);
    // The Tab key, then one that shows the line as it stands, then one that empties it.
    const asks = `
zmodload zsh/zpty
zpty shell zsh -f -i
zpty -w shell 'fpath=($PWD $fpath); autoload -Uz compinit; compinit -u -D; unset zle_bracketed_paste
show() { print -r -- "<$BUFFER>" }; zle -N show; bindkey "^X" show; print RE""ADY'
while zpty -r shell line; do [[ $line == *READY* ]] && break; done
for ask in "$@"; do
  zpty -w -n shell "$ask"$'\\t\\x18'
  while zpty -r shell line; do [[ $line == *'<'*'>'* ]] && { print -r -- "$line"; break; }; done
  zpty -w -n shell $'\\x15'
done
zpty -d shell`;
    const done = spawnSync("zsh", ["-f", "-c", asks, "zsh", ...single.map(([ask]) => ask)], {
      cwd: path,
      encoding: "utf8",
    });
    const shown = [...done.stdout.matchAll(/<([^<>]*)>/g)].map(([, line]) => line);
    expect(shown).toEqual(single.map(([, line]) => line));
  });

  it.runIf(has("fish"))("fish offers what may follow, each with what it does", () => {
    const { path, file } = home("fish", "rampwright.fish");
    expect(spawnSync("fish", ["-n", file]).status).toBe(0);
    const offered = (line: string) => {
      const words = ["--no-config", "-c", `source rampwright.fish; complete -C '${line}'`];
      const { stdout, stderr } = spawnSync("fish", words, { cwd: path, encoding: "utf8" });
      expect(stderr).toBe("");
      return stdout.trim().split("\n");
    };
    for (const [ask, line] of single)
      expect(offered(ask).map((one) => one.split("\t")[0])).toEqual([line.trim().split(" ").at(-1)]);
    expect(offered("rampwright str")[0]).toMatch(/^stress\tshows power, current and voltage of every part/);
  });

  it("texts with quotes stay texts", () => {
    expect(script("fish")).toContain("each check\\'s verdict");
    expect(script("zsh")).toContain("each check'\\''s verdict");
  });
});
