// Making elements. Whatever a design says goes in as text, never as markup.
/// <reference lib="dom" />

/** An element with its attributes and contents. */
export function make<K extends keyof HTMLElementTagNameMap>(
  name: K,
  attributes: Readonly<Record<string, string>> = {},
  ...inside: readonly (Node | string)[]
): HTMLElementTagNameMap[K] {
  const element = document.createElement(name);
  for (const [word, value] of Object.entries(attributes)) element.setAttribute(word, value);
  element.append(...inside);
  return element;
}

export function button(words: string, title: string, press: () => void): HTMLButtonElement {
  const made = make("button", { type: "button", title }, words);
  made.addEventListener("click", press);
  return made;
}
