// The verb `completion`: scripts that make a shell complete the words of the command.
// All that a script knows comes from the records of the verbs; files are left to the shell.
import { optionsOf } from "../commandline.js";
import { status } from "../refusal.js";
import { type Verb, verb } from "../verb.js";

const shells = ["bash", "zsh", "fish"] as const;

const scripts: Readonly<Record<(typeof shells)[number], (verbs: readonly Verb[]) => string>> = {
  bash,
  zsh,
  fish,
};

export const completionVerb = verb({
  word: "completion",
  summary: "prints the script that makes a shell complete verbs and options",
  operand: { name: "SHELL", help: "the shell: bash, zsh or fish", words: shells },
  options: {},
  more: `Put it where your shell looks:
  bash  rampwright completion bash >> ~/.bashrc
  zsh   rampwright completion zsh > "\${fpath[1]}/_rampwright"
  fish  rampwright completion fish > ~/.config/fish/completions/rampwright.fish`,
  example: "completion bash",
  statuses: { 0: "good", 2: "there is no script for this shell" },
  async run({ operands: [shell], verbs }) {
    const all = await Promise.all(Object.values(verbs).map((one) => one()));
    return { script: scripts[shell as (typeof shells)[number]](all) };
  },
  text: ({ script }) => script,
  status: () => status.good,
});

/** A text in a shell's single quotes. */
function quoted(text: string): string {
  return `'${text.replaceAll("'", `'\\''`)}'`;
}

/** The possible words of a verb's operand; for help, the verbs. */
function operandWords({ operand }: Verb, verbs: readonly Verb[]): readonly string[] {
  if (operand?.name === "VERB") return verbs.map(({ word }) => word);
  return operand?.words ?? [];
}

function bash(verbs: readonly Verb[]): string {
  const cases = verbs.map((one) => {
    const options = optionsOf(one);
    const values = Object.entries(options).flatMap(([name, { value, words }]) => {
      if (value === undefined) return [];
      const offered = words
        ? `COMPREPLY=($(compgen -W ${quoted(words.join(" "))} -- "$word"))`
        : "COMPREPLY=()";
      return `        --${name}) ${words || !options[name].path ? `${offered}; ` : ""}return ;;`;
    });
    const words = [...operandWords(one, verbs), ...Object.keys(options).map((name) => `--${name}`)].join(" ");
    return `    ${one.word})
      case "$before" in
${values.join("\n")}
        *) ;;
      esac
      COMPREPLY=($(compgen -W ${quoted(words)} -- "$word")) ;;`;
  });
  return `# Completion of rampwright for bash.
_rampwright() {
  local word="\${COMP_WORDS[COMP_CWORD]}" before="\${COMP_WORDS[COMP_CWORD-1]}"
  COMPREPLY=()
  if [ "$COMP_CWORD" -eq 1 ]; then
    COMPREPLY=($(compgen -W ${quoted([...verbs.map(({ word }) => word), "--help", "--version"].join(" "))} -- "$word"))
    return
  fi
  case "\${COMP_WORDS[1]}" in
${cases.join("\n")}
  esac
}
complete -o default -F _rampwright rampwright
`;
}

function zsh(verbs: readonly Verb[]): string {
  // Brackets would end an explanation, colons a part of a specification.
  const plain = (text: string) => text.replace(/[[\]:\\]/g, "\\$&");
  const cases = verbs.map((one) => {
    const words = operandWords(one, verbs);
    const operand = one.operand
      ? [
          `${one.operand.many ? "*" : "1"}:${one.operand.name}:${words.length > 0 ? `(${words.join(" ")})` : "_files"}`,
        ]
      : [];
    const options = Object.entries(optionsOf(one)).map(([name, { help, value, words, path }]) => {
      const what = words ? `(${words.join(" ")})` : path ? "_files" : " ";
      return `--${name}[${plain(help)}]${value === undefined ? "" : `:${value}:${what}`}`;
    });
    return `    ${one.word}) _arguments ${[...operand, ...options].map(quoted).join(" ")} ;;`;
  });
  return `#compdef rampwright
# Completion of rampwright for zsh.
_rampwright() {
  if (( CURRENT == 2 )); then
    local -a verbs=(${verbs.map(({ word, summary }) => quoted(`${word}:${plain(summary)}`)).join(" ")})
    _describe verb verbs
    return
  fi
  local verb=$words[2]
  shift words
  (( CURRENT-- ))
  case $verb in
${cases.join("\n")}
  esac
}
# From a folder of functions it is read as the function itself, when a line is completed for the first time.
if [[ $funcstack[1] == _rampwright ]]; then _rampwright "$@"; else compdef _rampwright rampwright; fi
`;
}

function fish(verbs: readonly Verb[]): string {
  const lines = verbs.flatMap((one) => {
    const { word, summary, operand } = one;
    const within = `-n '__fish_seen_subcommand_from ${word}'`;
    const words = operandWords(one, verbs);
    const files = !operand || words.length > 0 ? [`complete -c rampwright ${within} -f`] : [];
    return [
      `complete -c rampwright -n __fish_use_subcommand -f -a ${word} -d ${fishQuoted(summary)}`,
      ...files,
      ...(words.length > 0 ? [`complete -c rampwright ${within} -a ${fishQuoted(words.join(" "))}`] : []),
      ...Object.entries(optionsOf(one)).map(([name, { help, value, words, path }]) => {
        const takes =
          value === undefined
            ? ""
            : words
              ? ` -x -a ${fishQuoted(words.join(" "))}`
              : path
                ? " -r -F"
                : " -x";
        return `complete -c rampwright ${within} -l ${name}${takes} -d ${fishQuoted(help)}`;
      }),
    ];
  });
  return `# Completion of rampwright for fish.\n${lines.join("\n")}\n`;
}

/** A text in fish's single quotes, where a backslash escapes the two special characters. */
function fishQuoted(text: string): string {
  return `'${text.replace(/[\\']/g, "\\$&")}'`;
}
