// The known word nearest to an unknown one, for "did you mean". Distance is the number of single-letter slips (a letter added,
// lost or changed, or two neighbours swapped), so the usual typing mistakes cost one. Of equally near words the first is taken.
import { otherWords } from "./otherwords.js";

/** Words longer than this are never compared: nobody mistypes them by a letter or two. */
const longest = 40;

/** The most candidates that are looked at: a hint is not worth more time. */
const mostLooked = 20_000;

/**
 * Number of slips between two words: restricted Damerau-Levenshtein distance, i.e. the optimal string alignment
 * distance (the four kinds of slip are those of F. J. Damerau, Communications of the ACM 7(3), 1964).
 * @param most if there are more slips than this, any number above it may be returned
 */
export function slips(a: string, b: string, most = Number.POSITIVE_INFINITY): number {
  const from = [...a];
  const to = [...b];
  let before: number[] = [];
  let last = Array.from({ length: to.length + 1 }, (_, j) => j);
  for (let i = 1; i <= from.length; i++) {
    const row = [i];
    let least = i;
    for (let j = 1; j <= to.length; j++) {
      const change = from[i - 1] === to[j - 1] ? 0 : 1;
      let best = Math.min(row[j - 1] + 1, last[j] + 1, last[j - 1] + change);
      if (i > 1 && j > 1 && from[i - 1] === to[j - 2] && from[i - 2] === to[j - 1]) {
        best = Math.min(best, before[j - 2] + 1);
      }
      if (best < least) least = best;
      row.push(best);
    }
    // A swap reaches back over one row, so a distance within `most` in the last row may still count.
    if (least > most && Math.min(...last) > most) return least;
    before = last;
    last = row;
  }
  return last[to.length];
}

/**
 * The candidate that a word is another word for, else the one nearest to it; undefined if none is near enough: none of one or
 * two letters, one slip up to five letters, two up to eight, three above. A difference of case alone always counts as near.
 * Of very many candidates only the first are looked at.
 */
export function nearest(word: string, candidates: Iterable<string>): string | undefined {
  if (word.length > longest || word === "") return undefined;
  const length = [...word].length;
  const allowed = length <= 2 ? 0 : length <= 5 ? 1 : length <= 8 ? 2 : 3;
  const lower = word.toLowerCase();
  let found: string | undefined;
  let fewest = allowed + 1;
  let looked = 0;
  const others = otherWords(word);
  for (const candidate of candidates) {
    if (++looked > mostLooked) break;
    // What the word stands for elsewhere, the likeliest first, goes before any slip.
    const other = others.indexOf(candidate);
    if (other >= 0 && other - others.length < fewest) {
      fewest = other - others.length;
      found = candidate;
    }
    if (candidate === word || candidate.length > longest) continue;
    if (Math.abs(candidate.length - word.length) > allowed + 1) continue;
    const distance = candidate.toLowerCase() === lower ? 0.5 : slips(word, candidate, allowed);
    if (distance < fewest) {
      fewest = distance;
      found = candidate;
    }
  }
  return found;
}

/** The hint for an unknown word, if a known one is near: `did you mean 'V'?`. */
export function didYouMean(word: string, known: Iterable<string>, quote = "'"): string | undefined {
  const near = nearest(word, known);
  return near && `did you mean ${quote}${near}${quote}?`;
}

/** The same; if none is near, all the known words. */
export function didYouMeanOneOf(word: string, known: readonly string[]): string {
  return didYouMean(word, known) ?? `known here: ${known.join(", ")}`;
}
