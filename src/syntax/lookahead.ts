// The parser's lookahead: which alternative the next token selects. The library works this out for every rule when the parser is
// made; here it is deferred until a text first reaches the choice, since few texts reach all. The choices made are the same.
import { type ILookaheadStrategy, LLkLookaheadStrategy } from "chevrotain";

type Fork = ReturnType<ILookaheadStrategy["buildLookaheadForAlternation"]>;
type Gate = ReturnType<ILookaheadStrategy["buildLookaheadForOptional"]>;

/** The library's own strategy, deferred. */
export class Lookahead extends LLkLookaheadStrategy {
  override buildLookaheadForAlternation(
    options: Parameters<ILookaheadStrategy["buildLookaheadForAlternation"]>[0],
  ): Fork {
    const build = () => super.buildLookaheadForAlternation(options);
    let found: Fork | undefined;
    return function (this: ThisParameterType<Fork>, alternatives) {
      found ??= build();
      return found.call(this, alternatives);
    };
  }

  override buildLookaheadForOptional(
    options: Parameters<ILookaheadStrategy["buildLookaheadForOptional"]>[0],
  ): Gate {
    const build = () => super.buildLookaheadForOptional(options);
    let found: Gate | undefined;
    return function (this: ThisParameterType<Gate>) {
      found ??= build();
      return found.call(this);
    };
  }
}
