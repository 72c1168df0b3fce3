// Parser rules for the statements of the bench: captures to compare with traces, readings, and test points. None of them changes
// the circuit.
import { cover } from "../base/span.js";
import { Clauses } from "./clauses.js";
import { placeOf } from "./line.js";
import { keyword as w } from "./tokens.js";
import type { Statement } from "./tree.js";

export abstract class BenchClauses extends Clauses {
  protected capture = this.inner("capture", (): Statement => {
    const first = this.CONSUME(w.capture);
    const path = this.SUBRULE1(this.quoted);
    this.CONSUME(w.of);
    const of = this.SUBRULE(this.reference, { ARGS: ["what it shows: a place, or a part with '.current'"] });
    const scope = this.OPTION(() => {
      this.CONSUME(w.in);
      this.CONSUME(w.case);
      return this.SUBRULE2(this.quoted);
    });
    const properties = this.SUBRULE(this.properties);
    return this.ACTION(() => {
      const span = cover(placeOf(first), (properties.at(-1) ?? scope ?? of).span);
      return { type: "capture", path, of, scope, properties, span };
    });
  });

  protected read = this.inner("read", (): Statement => {
    const first = this.CONSUME(w.reading);
    const phrase = this.SUBRULE(this.quoted);
    const amount = this.SUBRULE(this.value);
    const scope = this.OPTION(() => {
      this.CONSUME(w.in);
      return this.SUBRULE(this.whichCase);
    });
    return this.ACTION(() => {
      const span = cover(placeOf(first), amount.span);
      return { type: "reading", phrase, amount, scope, span };
    });
  });

  protected testpoint = this.inner("testpoint", (): Statement => {
    const first = this.CONSUME(w.testpoint);
    const name = this.SUBRULE(this.quoted);
    this.CONSUME(w.at);
    const of = this.SUBRULE(this.reference, { ARGS: ["where to look: a place, or a part with '.current'"] });
    return this.ACTION(() => ({ type: "testpoint", name, of, span: cover(placeOf(first), of.span) }));
  });
}
