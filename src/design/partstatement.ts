// Turns the statement of a part, a supply or a signal into its part: value, waveform, changes by the case, spreading,
// ratings, and the words of its kind.
import type { Report } from "../base/diagnostic.js";
import { dimension, nameOf } from "../base/dimension.js";
import { called, type Kind } from "../parts/contract.js";
import { belowGround, supply } from "../parts/supply.js";
import { signal } from "../parts/voltage.js";
import { constant, type Wave } from "../signals/wave.js";
import type { Property, StatementOf, Valued } from "../syntax/tree.js";
import type { Amount, PartSpec } from "./design.js";
import { type ControlWords, readWords } from "./properties.js";
import { readRatings } from "./ratings.js";
import type { Scope } from "./scope.js";
import { readSpreading, spreadWords } from "./spreading.js";
import { pathText } from "./values.js";
import { readWave } from "./waveform.js";

export type PartStatement = StatementOf<"supply" | "signal" | "part">;

/** A part as far as its own statement defines it. */
interface ReadPart {
  readonly part: PartSpec;
  /** Its control, to be read once all places are known. */
  readonly control?: ControlWords;
}

/** The part of a statement; undefined if something is wrong with it. @param name its full name */
export function readPart(s: PartStatement, scope: Scope, name: string): ReadPart | undefined {
  if (s.type === "part") return partOf(s, scope, name);
  const part = s.type === "supply" ? supplyOf(s, scope, name) : signalOf(s, scope, name);
  return part && { part };
}

function supplyOf(s: StatementOf<"supply">, scope: Scope, name: string): PartSpec | undefined {
  const { values } = scope;
  const { changes, places, report } = scope.at;
  const what = `supply '${name}'`;
  const change = ofCase(changes, report, (all) => all.source(name, values));
  if (change.wave)
    ofCase(change.wave, report, ({ span }) =>
      report.error("change-form", "a supply has a value, not a waveform", span, {
        hint: "write a voltage, or make it a signal",
      }),
    );
  const written = either(change.value, s.amount, report, (v) => values.amount(v, dimension.voltage, what));
  const tail = places.make(name, s.name.span);
  if (!written) return undefined;
  const words = sorted(s.properties);
  const own = readWords(s.name, words.own, supply, scope);
  const value = changes.exact(name, readSpreading(written, words.spread, what, values, report));
  const ratings = readRatings(words.rated, name, values, report);
  if (!own) return undefined;
  const wave = change.apply(constant(value.value));
  const steady = !wave.stops && !wave.starts;
  return {
    name,
    kind: supply,
    tail,
    head: 0,
    value: steady ? { ...value, value: value.value.mul(wave.scale) } : value,
    wave: steady ? undefined : wave,
    amounts: own.amounts,
    places: new Map(),
    flags: new Set(value.value.s < 0n ? [belowGround] : []),
    ratings,
    fault: change.fault,
    span: s.span,
  };
}

function signalOf(s: StatementOf<"signal">, scope: Scope, name: string): PartSpec | undefined {
  const { changes, report } = scope.at;
  const change = ofCase(changes, report, (all) => all.source(name, scope.values));
  const wave = waveOf(s.wave, change, signal, scope);
  const tail = scope.at.places.make(name, s.name.span);
  const { fault } = change;
  const none = { amounts: new Map(), places: new Map() };
  return wave && { name, kind: signal, tail, head: 0, wave, ...none, fault, span: s.span };
}

/** Reads what a case says, which stands in the text that is compiled, also of a part that a brought text makes. */
function ofCase<T, R>(said: T, report: Report, read: (said: T) => R): R {
  return report.within(undefined, () => read(said));
}

/** Reads what a case says in place of what is written, else that. */
function either<T, W, R>(said: T | undefined, written: W, report: Report, read: (form: T | W) => R): R {
  return said === undefined ? read(written) : ofCase(said, report, read);
}

type SourceChange = ReturnType<Scope["at"]["changes"]["source"]>;

/** A waveform with the changes of the case. */
function waveOf(
  written: StatementOf<"signal">["wave"],
  change: SourceChange,
  kind: Kind,
  { values, at: { handed, report } }: Scope,
): Wave | undefined {
  if (change.value)
    ofCase(change.value, report, ({ span }) =>
      report.error("change-form", "a signal follows a waveform, not a single value", span, {
        hint: "write 'path 0 V at 0 s' for a level that stays, or another waveform, e.g. 'video of 625/50, black'",
      }),
    );
  const read = either(change.wave, written, report, (form) =>
    readWave(form, kind.value!.dimension, values, handed, report),
  );
  return read && change.apply(read);
}

function partOf(s: StatementOf<"part">, scope: Scope, name: string): ReadPart | undefined {
  const { changes, report, vocabulary } = scope.at;
  const kind = vocabulary.kind(s.kind.text);
  const [tail, head] = kind?.couples ? [0, 0] : [scope.place(s.tail), scope.place(s.head)];
  // `read` has reported an unknown kind already.
  if (!kind) return undefined;
  if (tail === head && !kind.couples)
    report.warn(
      "both-ends",
      `both ends of ${kind.word} '${name}' stand on one place: it does nothing`,
      s.span,
      { hint: "join one of them to another place" },
    );
  // After a waveform, the properties of the part and those of the wave are in one list.
  const ofPart = (p: Property) =>
    p.word.text === "rated" || kind.properties.some((k) => k.word === p.word.text);
  const words = sorted(s.wave ? s.wave.properties.filter(ofPart) : s.properties);
  let value: Amount | undefined;
  let wave: Wave | undefined;
  let change: ReturnType<typeof changes.part>;
  if (s.wave) {
    const source = ofCase(changes, report, (all) => all.source(name, scope.values));
    change = source;
    const own = { ...s.wave, properties: s.wave.properties.filter((p) => !ofPart(p)) };
    if (kind.value?.wave) wave = waveOf(own, source, kind, scope);
    else
      report.error("no-wave", `${called(kind)} cannot follow a waveform`, s.wave.span, {
        hint: "a signal, a current or a voltage can",
      });
  } else {
    change = ofCase(changes, report, (all) => all.part(name));
    value = amountBehind(s, change.value, kind, scope, words.spread);
  }
  if (change.fault === "short" && kind.couples)
    ofCase(change.said!, report, (span) =>
      report.error("change-form", `${kind.word} '${name}' joins no places, so it cannot be short`, span, {
        hint: "make the parts short that it couples",
      }),
    );
  if (!kind.value)
    for (const p of words.spread)
      report.error(
        "no-value",
        `${called(kind)} has no value that '${p.word.text}' could be said of`,
        p.span,
        {
          hint: "say it of a named value, and use that for the property that spreads",
        },
      );
  const ratings = readRatings(words.rated, name, scope.values, report);
  const read = readWords(
    s.name,
    words.own,
    kind,
    scope,
    !kind.value && !halfSaid(s.amount, kind) && !!s.amount,
  );
  if (!read || (kind.value && !value && !wave)) return undefined;
  if (kind.couples && words.rated[0]) {
    const message = `${called(kind)} bears nothing that it could be rated for`;
    report.error("property-form", message, words.rated[0].span, { hint: "rate the parts that it couples" });
  }
  const { control, ...said } = read;
  const couples = kind.couples
    ? ([s.tail, s.head].map((one) => scope.prefix + pathText(one)) as [string, string])
    : undefined;
  const { fault } = change;
  return {
    part: { name, kind, tail, head, value, wave, fault, couples, ratings, ...said, span: s.span },
    control,
  };
}

/** The value after the places of a part, with the changes of the case and the values that were set. */
function amountBehind(
  s: StatementOf<"part">,
  changed: Valued | undefined,
  kind: Kind,
  scope: Scope,
  spread: readonly Property[],
): Amount | undefined {
  const valued = changed ?? s.amount;
  const { values, at } = scope;
  const { report, changes, reading } = at;
  const name = scope.prefix + s.name.text;
  if (!valued) {
    if (kind.value)
      report.error("missing-value", `${kind.word} '${name}' has no value`, s.name.span, {
        hint: `write ${nameOf(kind.value.dimension)} after its places`,
      });
    return undefined;
  }
  if (!kind.value) {
    if (halfSaid(valued, kind)) return undefined;
    return report.error("no-value", `${called(kind)} takes no value after its places`, valued.span, {
      hint: `it has: ${kind.properties.map((p) => p.word).join(", ")}`,
    });
  }
  const what = `the value of ${kind.word} '${name}'`;
  const { dimension: own, range } = kind.value;
  const said = reading.of("value", name, undefined, () => {
    const written = either(changed, valued, report, (v) => {
      const found = values.amount(v, own, what, range);
      if (found) milliohms(v, `${kind.word} '${name}'`, report);
      if (found) megafarads(v, `${kind.word} '${name}'`, report);
      return found;
    });
    return written && readSpreading(written, spread, what, values, report);
  });
  return said && values.allowed(changes.exact(name, said), what, range);
}

/** Whether what stands as a value is a word that must have more behind it, as in `switch reset a -> b closed`: that is then missing. */
function halfSaid(valued: Valued | undefined, kind: Kind): boolean {
  if (valued?.value.type !== "name") return false;
  const word = pathText(valued.value.reference);
  return kind.oneOf?.includes(word) || kind.properties.some((p) => p.required && p.word === word);
}

/** A few milliohms in place of megohms: few parts have so little, and the two prefixes are a key apart. */
function milliohms({ value }: Valued, what: string, report: Report): void {
  if (value.type !== "number" || value.unit?.text !== "mohm" || !(Number(value.digits.text) <= 10)) return;
  const { text } = value.digits;
  report.warn(
    "milliohms",
    `${what} has ${text} thousandth${text === "1" ? "" : "s"} of an ohm: is 'mohm' meant?`,
    value.unit.span,
    { hint: "m is milli; a million ohms are 'Mohm'" },
  );
}

/** On old schematics and parts a microfarad is MF. */
function megafarads({ value }: Valued, what: string, report: Report): void {
  if (value.type !== "number" || value.unit?.text !== "MF") return;
  const { span } = value.unit;
  report.warn("megafarads", `${what} has millions of farads: is 'MF' meant?`, span, {
    hint: "M is mega; a millionth of a farad is 'uF'",
    fix: { span, text: "uF" },
  });
}

/** Sorts the properties of a part: how its value spreads, its ratings, and those of its kind. */
function sorted(properties: readonly Property[]): Record<"spread" | "rated" | "own", Property[]> {
  const words: Record<"spread" | "rated" | "own", Property[]> = { spread: [], rated: [], own: [] };
  for (const p of properties) {
    const word = p.word.text;
    words[word === "rated" ? word : Object.hasOwn(spreadWords, word) ? "spread" : "own"].push(p);
  }
  return words;
}
