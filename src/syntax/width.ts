// How many columns a text takes in a monospaced font: combining marks take none, East Asian wide characters and pictographs
// take two.

// Ranges of wide characters: Unicode Standard Annex #11, East Asian Width, classes W and F, joined where the gaps
// between them are unassigned (from memory, coarse: what falls between counts one column too many or too few).
const wide =
  /[\u1100-\u115f\u2e80-\u303e\u3041-\u33ff\u3400-\u4dbf\u4e00-\u9fff\ua000-\ua4cf\uac00-\ud7a3\uf900-\ufaff\ufe30-\ufe4f\uff00-\uff60\uffe0-\uffe6\u{1f300}-\u{1faff}\u{20000}-\u{3fffd}]/u;
const none = /[\p{Mn}\p{Me}\p{Cf}]/u;

/** Columns that a text takes. */
export function width(text: string): number {
  // Most text is plain, and then its length is its width.
  if (/^[\x20-\x7e]*$/.test(text)) return text.length;
  let columns = 0;
  for (const character of text) columns += none.test(character) ? 0 : wide.test(character) ? 2 : 1;
  return columns;
}
