// How much is read at most. Each limit is far above any design that a person or a program would write, is checked
// before memory is taken, and has a diagnostic of its own.

/** What is read at most; beyond it a diagnostic says so. */
export const limits = {
  /** UTF-16 code units of a text. */
  text: 16 * 1024 * 1024,
  /** UTF-16 code units of a physical line. */
  line: 1024 * 1024,
  /** Tokens of a text. */
  tokens: 2_000_000,
  /** Statements of a text. */
  statements: 200_000,
  /** Brackets in brackets, and blocks in blocks. */
  depth: 64,
  /** Signs of arithmetic in one expression: its tree leans to one side and is as deep as it has signs. */
  signs: 500,
} as const;
