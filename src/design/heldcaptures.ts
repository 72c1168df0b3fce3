// Captures that the text compares with traces: `capture "ramp.csv" of ramp, channel 1`. Reads which case each belongs to, how it
// was taken, and the checks that apply to it. Each mistake is reported once, at its place.
import { DesignError, type Report } from "../base/diagnostic.js";
import { type Dimension, dimension } from "../base/dimension.js";
import { toNumber } from "../base/fraction.js";
import { channelOf } from "../instruments/capture.js";
import type { Alignment, Held } from "../instruments/held.js";
import type { Statement } from "../syntax/tree.js";
import { captureWords } from "./capturefiles.js";
import type { Checks } from "./checks.js";
import type { CheckSpec, HeldSpec } from "./design.js";
import type { Scope } from "./scope.js";
import { pathText } from "./values.js";
import { readProperties, type WaveWords, type Written } from "./words.js";

/** A statement that compares a capture with a trace. */
export type CaptureStatement = Statement & { readonly type: "capture" };
export type CheckStatement = Statement & { readonly type: "check" };

/** A capture statement with the checks that apply to it. */
export interface AskedCapture {
  readonly statement: CaptureStatement;
  /** The case that it shows; empty for the design as drawn. */
  readonly under: string;
  readonly checks: CheckStatement[];
}

const directions = ["rising", "falling"] as const;

/** The properties of a capture that is compared with a trace. @param dim dimension of the trace */
export function heldWords(dim: Dimension): WaveWords {
  return {
    ...captureWords,
    edge: {
      takes: dim,
      range: "any",
      how: directions,
      summary:
        "it is aligned by its first crossing of this level, `edge 2.5 V rising`; by correlation unless given",
    },
    trigger: {
      takes: "name",
      summary: "with `edge`: the edge is that of this place, which another channel shows",
    },
    seen: { takes: "channel", summary: "with `trigger`: that channel, by number from 1 or by name" },
    uncalibrated: { takes: "nothing", summary: "gain and offset of the instrument are found and taken out" },
  };
}

const dimensions: Readonly<Record<string, Dimension>> = {
  V: dimension.voltage,
  A: dimension.current,
  W: dimension.power,
};

/** The captures of a text, each with its case and the `in capture` checks that belong to it. */
export function capturesIn(
  statements: readonly Statement[],
  cases: ReadonlyMap<string, unknown>,
  report: Report,
): AskedCapture[] {
  const found: AskedCapture[] = [];
  const checks: { statement: CheckStatement; under: string }[] = [];
  let last = "";
  for (const s of statements) {
    if (s.type === "case") last = s.name.text;
    if (s.type === "check" && s.scope?.type === "capture") checks.push({ statement: s, under: last });
    if (s.type !== "capture") continue;
    const under = s.scope?.text ?? last;
    if (s.scope && !cases.has(under))
      report.error("unknown-case", `no case is called "${under}"`, s.scope.span);
    found.push({ statement: s, under, checks: [] });
  }
  for (const { statement, under } of checks) {
    const { scope, target, name } = statement;
    const path = scope?.type === "capture" ? scope.path : undefined;
    const meant = found.filter(
      ({ statement: s, under: where }) =>
        pathText(s.of) === pathText(target) && (path ? s.path.text === path.text : where === under),
    );
    for (const one of meant) one.checks.push(statement);
    if (meant.length > 0) continue;
    const what = path ? `the capture "${path.text}"` : "no capture";
    report.error(
      "no-capture",
      `"${name.text}" is asked in capture, but ${what} is${path ? " not" : ""} held against '${pathText(target)}'${path ? "" : " here"}`,
      path?.span ?? statement.span,
      { hint: `write 'capture "..." of ${pathText(target)}' above it` },
    );
  }
  return found;
}

/** Reads a capture and the checks that apply to it; undefined if something is wrong with it. */
export function readHeld(
  { statement: s, checks: asked }: AskedCapture,
  reader: Checks,
  scope: Scope,
): HeldSpec | undefined {
  const { handed, report } = scope.at;
  const target = reader.trace(s.of);
  // The edge of a trigger may be in another unit than the capture.
  const named = s.properties.some((p) => p.word.text === "trigger");
  const words = heldWords(named ? dimension.voltage : (dimensions[target?.unit ?? "V"] ?? dimension.number));
  const written = readProperties(s, words, "a capture", scope.values, report);
  const capture = handed.captures.read(s.path, written?.amounts.get("interval"), report);
  const checks = asked.flatMap((one): CheckSpec[] => {
    const read = reader.read(one);
    return read ? [read] : [];
  });
  if (!target || !written || !capture) return undefined;
  const { channels, amounts, bare } = written;
  const attenuated = amounts.get("attenuated");
  const align = alignmentOf(written, s, reader, report);
  if (!align) return undefined;
  const held: Held = {
    capture,
    channel: channels.get("channel"),
    of: target.name,
    attenuated: attenuated && toNumber(attenuated),
    align,
    uncalibrated: bare.has("uncalibrated"),
  };
  if (amounts.has("edge") && amounts.has("delay"))
    return report.error(
      "aligned-twice",
      "a capture is aligned by an edge or by a delay, not by both",
      s.span,
      {
        hint: "leave one of them out",
      },
    );
  return sound(held, target.unit, s, report) ? { held, checks, span: s.span } : undefined;
}

function alignmentOf(
  { amounts, hows, names, channels }: Written,
  s: CaptureStatement,
  reader: Checks,
  report: Report,
): Alignment | undefined {
  const [edge, delay] = [amounts.get("edge"), amounts.get("delay")];
  const [name, seen] = [names.get("trigger"), channels.get("seen")];
  const lone = name && seen === undefined ? "trigger" : !name && seen !== undefined ? "seen" : undefined;
  if (lone || (name && !edge)) {
    const message = lone
      ? `'trigger' names whose edge counts, 'seen' the channel that shows it: here is '${lone}' alone`
      : "a trigger has an edge that counts, and none is given";
    return report.error("trigger-form", message, s.span, {
      hint: "write ', edge 2.5 V rising, trigger gate, seen 2'",
    });
  }
  const target = name && reader.trace(name);
  if (name && !target) return undefined;
  if (target && target.unit !== "V")
    return report.error(
      "wrong-dimension",
      `a trigger is a voltage, but '${target.name}' is in ${target.unit}`,
      name.span,
      { hint: "name a place" },
    );
  if (delay) return { delay: toNumber(delay) };
  if (!edge) return "correlation";
  const direction = hows.get("edge") === "falling" ? "falling" : "rising";
  return { level: toNumber(edge), direction, trigger: target?.name, seen };
}

function sound({ capture, channel, of }: Held, unit: string, s: CaptureStatement, report: Report): boolean {
  try {
    const own = channelOf(capture, channel);
    if (own.unit === "" || own.unit === unit) return true;
    const message = `channel ${own.name} of ${capture.name} is in ${own.unit}, but '${of}' is in ${unit}`;
    report.error("wrong-dimension", message, s.of.span, { hint: `name what is in ${own.unit}` });
  } catch (error) {
    if (!(error instanceof DesignError)) throw error;
    for (const { code, message, hint } of error.diagnostics)
      report.error(code, message, s.path.span, { hint });
  }
  return false;
}
