// The text in an editor: colours, completions, mistakes marked where they are, and their mends. The editor lives in its own
// shadow tree, where its styles are sheet objects that need no exception in the content policy.
/// <reference lib="dom" />
import { autocompletion, completionKeymap } from "@codemirror/autocomplete";
import { defaultKeymap, history, historyKeymap } from "@codemirror/commands";
import { syntaxHighlighting } from "@codemirror/language";
import { type Action, lintKeymap, type Diagnostic as Marked, setDiagnostics } from "@codemirror/lint";
import { EditorState, type Text } from "@codemirror/state";
import { drawSelection, EditorView, keymap, lineNumbers } from "@codemirror/view";
import type { Diagnostic, Fix } from "../base/diagnostic.js";
import type { Span } from "../base/span.js";
import { type AskOffers, coloured, inkOfWords, offers } from "./colouring.js";
import { newElement } from "./dials.js";
import type { Lexicon } from "./lexicon.js";

/** How long after the last key a text is checked, ms. */
const pause = 160;

const look = EditorView.theme({
  "&": { fontSize: "14px", backgroundColor: "var(--paper)", color: "var(--ink)", height: "100%" },
  // The frame around it has the ring: within, what scrolls would lie over it.
  "&.cm-focused": { outline: "none" },
  ".cm-scroller": {
    fontFamily: "ui-monospace, 'DejaVu Sans Mono', monospace",
    lineHeight: "1.5",
    overflow: "auto",
  },
  ".cm-gutters": { backgroundColor: "var(--ground)", color: "var(--faint)", border: "none" },
  ".cm-content": { caretColor: "var(--ink)" },
  ".cm-cursor": { borderLeftColor: "var(--ink)" },
  "& .cm-selectionBackground, &.cm-focused > .cm-scroller > .cm-selectionLayer .cm-selectionBackground": {
    backgroundColor: "var(--selection)",
  },
  ".cm-tooltip": { backgroundColor: "var(--paper)", color: "var(--ink)", border: "1px solid var(--line)" },
  ".cm-tooltip-autocomplete > ul > li[aria-selected]": {
    backgroundColor: "var(--focus)",
    color: "var(--paper)",
  },
  ".cm-diagnosticAction": { backgroundColor: "var(--focus)", color: "var(--paper)" },
});

/** The editor, and the list of mistakes below it. */
export class Editing {
  private readonly view: EditorView;
  private timer = 0;

  constructor(
    host: HTMLElement,
    private readonly list: HTMLElement,
    text: string,
    { lexicon, ask }: { readonly lexicon: Lexicon; readonly ask: AskOffers },
    private readonly changed: (text: string) => void,
  ) {
    const root = host.attachShadow({ mode: "open" });
    const place = document.createElement("div");
    root.append(place);
    this.view = new EditorView({
      root,
      parent: place,
      state: EditorState.create({
        doc: text,
        extensions: [
          lineNumbers(),
          history(),
          drawSelection(),
          coloured(lexicon),
          syntaxHighlighting(inkOfWords),
          // Its icons are pictures that many machines have no letters for.
          autocompletion({ override: [offers(ask)], icons: false }),
          keymap.of([...completionKeymap, ...lintKeymap, ...historyKeymap, ...defaultKeymap]),
          EditorView.contentAttributes.of({
            "aria-label": "Text of the design",
            spellcheck: "false",
            tabindex: "0",
          }),
          EditorView.domEventHandlers({ beforeinput: overtype }),
          EditorView.updateListener.of(({ docChanged }) => docChanged && this.wait()),
          look,
        ],
      }),
    });
  }

  get text(): string {
    return this.view.state.doc.toString();
  }

  /** Replaces the text without reporting a change. */
  set text(text: string) {
    this.view.dispatch({ changes: { from: 0, to: this.view.state.doc.length, insert: text } });
    clearTimeout(this.timer);
  }

  /** Shows the mistakes of the text. */
  show(diagnostics: readonly Diagnostic[]): void {
    const { doc } = this.view.state;
    const marked = diagnostics.map((one): Marked => {
      const { from, to } = rangeOf(doc, one.span);
      const mends = one.fix ? [this.action(one.fix)] : [];
      return { from, to, severity: one.severity, message: wordsOf(one), actions: mends };
    });
    this.view.dispatch(setDiagnostics(this.view.state, marked));
    this.list.replaceChildren(...diagnostics.map((one) => this.row(one)));
  }

  private wait(): void {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.changed(this.text), pause) as unknown as number;
  }

  private action(fix: Fix): Action {
    return { name: mendWords(fix, this.view.state.doc), apply: () => this.mend(fix) };
  }

  private mend({ span, text }: Fix): void {
    const { from, to } = rangeOf(this.view.state.doc, span);
    this.view.dispatch({ changes: { from, to, insert: text }, userEvent: "input.mend" });
    clearTimeout(this.timer);
    this.changed(this.text);
  }

  private row(one: Diagnostic): HTMLElement {
    const row = newElement("li", one.severity === "error" ? "bad" : "doubt");
    const place = newElement("button", "plain");
    place.type = "button";
    place.textContent = `line ${one.span.line}`;
    place.addEventListener("click", () => {
      const { from } = rangeOf(this.view.state.doc, one.span);
      this.view.dispatch({ selection: { anchor: from }, scrollIntoView: true });
      this.view.focus();
    });
    const words = newElement("span", "");
    words.textContent = ` ${one.severity}: ${wordsOf(one)} `;
    row.append(place, words);
    const { fix } = one;
    if (fix) {
      const mend = newElement("button", "");
      mend.type = "button";
      mend.textContent = mendWords(fix, this.view.state.doc);
      mend.addEventListener("click", () => this.mend(fix));
      row.append(mend);
    }
    return row;
  }
}

/**
 * Types over what is selected. A browser that does it by itself keeps the look of the words that were there by a style of its own
 * making, which the content policy blocks, with an error in the console.
 */
function overtype(event: InputEvent, view: EditorView): boolean {
  const { inputType, data, isComposing } = event;
  if (inputType !== "insertText" || data === null || isComposing || view.state.selection.main.empty)
    return false;
  event.preventDefault();
  view.dispatch(view.state.replaceSelection(data), { userEvent: "input.type", scrollIntoView: true });
  return true;
}

function wordsOf({ message, hint }: Diagnostic): string {
  return hint === undefined ? message : `${message} (${hint})`;
}

function mendWords({ span, text }: Fix, doc: Text): string {
  const { from, to } = rangeOf(doc, span);
  const old = doc.sliceString(from, to);
  if (text === "") return `take '${old}' away`;
  return old === "" ? `put in '${text.trim()}'` : `write '${text.trim()}' for '${old}'`;
}

/** Where a span is in the text as it stands now; what it marked may have been deleted since. */
function rangeOf(doc: Text, { line, column, length }: Span): { from: number; to: number } {
  const { from } = doc.line(Math.min(Math.max(1, line), doc.lines));
  const start = Math.min(doc.length, from + column - 1);
  return { from: start, to: Math.min(doc.length, start + length) };
}
