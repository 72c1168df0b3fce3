// What may come next in a statement that is being written. It asks the parser's own rules, so that an editor offers what the
// parser takes and nothing is written down twice. The work is bounded, and the result is empty where the words before could
// begin no statement.
import { type IToken, type TokenType, tokenMatcher } from "chevrotain";
import { grammar } from "./grammar.js";
import { isName, keyword, Name } from "./tokens.js";

/** A token that may come next, and the rules that it stands in, the outermost first. */
export interface Upcoming {
  readonly type: TokenType;
  readonly rules: readonly string[];
}

/** Most tokens of a statement that is looked at; a longer one is a list that repeats itself. */
const most = 400;

/**
 * What may come after some tokens.
 * @param rule the grammar rule that they begin, by its name in the language reference
 */
export function upcoming(rule: string, before: readonly IToken[]): Upcoming[] {
  if (before.length > most) return [];
  // A word of the language is first taken for itself, and for a name only if that leads nowhere.
  const strict = ways(rule, before, false);
  return strict.length > 0 ? strict : ways(rule, before, true);
}

function ways(rule: string, before: readonly IToken[], names: boolean): Upcoming[] {
  const matches = (token: IToken, type: TokenType) =>
    type === Name && !names ? token.tokenType === Name : tokenMatcher(token, type);
  const parser = Object.assign(Object.create(grammar()), { tokenMatcher: matches });
  const found: { nextTokenType: TokenType; ruleStack: string[] }[] = parser.computeContentAssist(
    rule,
    before,
  );
  return found.map(({ nextTokenType, ruleStack }) => ({ type: nextTokenType, rules: ruleStack }));
}

/** Index of the first token after a part's places; undefined if its places are not complete. */
export function behindPlaces(tokens: readonly IToken[]): number | undefined {
  const arrow = tokens.findIndex(({ image }) => image === "->" || image === "→");
  if (arrow < 0 || tokens.length < arrow + 2) return undefined;
  let at = arrow + 2;
  while (tokens[at]?.image === ".") at += 2;
  return at <= tokens.length ? at : undefined;
}

/** Whether a waveform begins with these tokens. */
export function beginsWave([first, second]: readonly IToken[]): boolean {
  if (!first || !isName(first.tokenType)) return false;
  const shapes = [keyword.pulse, keyword.sine, keyword.path, keyword.noise, keyword.video];
  return second?.tokenType === keyword.sync || shapes.includes(first.tokenType);
}
