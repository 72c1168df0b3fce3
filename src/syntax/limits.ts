// Limits on what is read. Each is far above any design that a person or a program would write, is checked before
// memory is taken, and has a diagnostic of its own.

/** The limits; beyond each there is a diagnostic. */
export const limits = {
  /** UTF-16 code units of a text. */
  text: 16 * 1024 * 1024,
  /** UTF-16 code units of a physical line. */
  line: 1024 * 1024,
  /** Tokens of a text. */
  tokens: 2_000_000,
  /** Statements of a text. */
  statements: 200_000,
  /** Depth of brackets in brackets, and of blocks in blocks. */
  depth: 64,
  /** Signs of arithmetic in one expression: its tree leans to one side and is as deep as it has signs. */
  signs: 500,
} as const;

/** What to do about a text that is too long. */
export const inItsOwn = "put a part of it in a text of its own, and bring that";
