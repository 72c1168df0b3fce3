// The guide's page of all diagnostics, read out of the sources: each code with the causes that are told under it and what mends them.
// What a message names of a design or a call stands as "…".
import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import ts from "typescript";

/** One thing that can be told. */
interface Told {
  readonly code: string;
  readonly cause: string;
  readonly mend: string;
}

/** Callee, and where among its words the code, the message and the aid stand. */
const sayers: Readonly<Record<string, { code: number; message: number; aid: number }>> = {
  error: { code: 0, message: 1, aid: 3 },
  warn: { code: 0, message: 1, aid: 3 },
  refusal: { code: 0, message: 1, aid: 2 },
  reportName: { code: 1, message: 2, aid: 9 },
  refuseOption: { code: 9, message: 1, aid: 2 },
  ended: { code: 0, message: 1, aid: 9 },
  neverBegun: { code: 0, message: 1, aid: 9 },
  say: { code: 1, message: 2, aid: 3 },
};
/** What stands for what a message names, and for one that is put together elsewhere. */
const unsaid = "…";
/** What `reportName` and a fix say by themselves. */
const nearest = "the nearest name that is known is offered";

/** The page. */
export function diagnosticsPage(folder = "src"): string {
  const told = readdirSync(folder, { recursive: true, encoding: "utf8" })
    .filter((name) => name.endsWith(".ts"))
    .sort()
    .flatMap((name) => toldIn(readFileSync(join(folder, name), "utf8")));
  const codes = [...new Set(told.map(({ code }) => code))].sort();
  const sections = codes.map((code) => {
    const own = told.filter((one) => one.code === code);
    const whole = own.filter((one) => /\w/.test(one.cause));
    const lines = (whole.length > 0 ? whole : own).map(lineOf);
    return `## ${code}\n\n${[...new Set(lines)].sort().join("\n")}\n`;
  });
  return `---
title: What is told
---

# What is told

Every diagnostic by its code: what causes it and, behind the dash, what mends it. What a message names of your design stands here
as "…". The page comes from the sources (\`npm run grammar\`).

${sections.join("\n")}
Back to [checks that stay](checks.md).
`;
}

function lineOf({ cause, mend }: Told): string {
  return `- ${!/\w/.test(cause) ? "the message says what was found" : plain(cause)}${mend === "" ? "" : ` — _${plain(mend)}_`}`;
}

// No sign of a message may act as one of the page.
function plain(text: string): string {
  return text
    .replace(/\s+/g, " ")
    .trim()
    .replace(/[\\`*_[\]|~#]/g, "\\$&")
    .replace(/[<>{}@&]/g, (sign) => `&#${sign.charCodeAt(0)};`);
}

/** What a source can tell. */
function toldIn(text: string): Told[] {
  const source = ts.createSourceFile("source.ts", text, ts.ScriptTarget.Latest, true);
  const found: Told[] = [];
  const visit = (node: ts.Node) => {
    if (ts.isCallExpression(node)) found.push(...toldBy(node));
    if (ts.isObjectLiteralExpression(node)) found.push(...toldAs(node));
    // Why a run ends: words by code, to be told with the names of the parts.
    if (ts.isPropertyAssignment(node)) found.push(...toldOf(node));
    // Codes among which something thrown has one; what reads it says the words.
    if (ts.isParameter(node) && node.name.getText() === "code" && node.type && ts.isUnionTypeNode(node.type))
      for (const one of node.type.types)
        if (ts.isLiteralTypeNode(one) && ts.isStringLiteral(one.literal))
          found.push({ code: one.literal.text, cause: unsaid, mend: "" });
    ts.forEachChild(node, visit);
  };
  visit(source);
  return found;
}

function toldBy(call: ts.CallExpression): Told[] {
  const { expression: callee, arguments: words } = call;
  const name = ts.isPropertyAccessExpression(callee) ? callee.name.text : callee.getText();
  const places = Object.hasOwn(sayers, name) ? sayers[name] : undefined;
  if (!places) return [];
  const code = name === "refuseOption" ? "bad-option" : literal(words[places.code]);
  const message = words[places.message];
  if (code === undefined || !message || !/^[a-z]+(-[a-z]+)*$/.test(code)) return [];
  const mend = name === "reportName" ? nearest : mendIn(words[places.aid]);
  return spoken(message).map((cause) => ({ code, cause, mend }));
}

/** What stands as data, with its code and its reason. */
function toldAs(data: ts.ObjectLiteralExpression): Told[] {
  const value = (name: string) =>
    data.properties.flatMap((one) =>
      one.name?.getText() !== name
        ? []
        : ts.isPropertyAssignment(one)
          ? [one.initializer]
          : ts.isShorthandPropertyAssignment(one)
            ? [one.name]
            : [],
    )[0];
  const code = literal(value("code"));
  const message = value("message") ?? value("reason");
  if (code === undefined || !/^[a-z]+(-[a-z]+)+$/.test(code)) return [];
  return (message ? spoken(message) : [unsaid]).map((cause) => ({
    code,
    cause,
    mend: mendIn(value("hint")),
  }));
}

/** The words of `src/stepping/ending.ts`, functions of the names of parts. */
function toldOf({ name, initializer }: ts.PropertyAssignment): Told[] {
  let words: ts.Expression = initializer;
  while (ts.isAsExpression(words) || ts.isParenthesizedExpression(words)) words = words.expression;
  if (!/^(modes|faults|stops)$/.test(tableOf(name)) || !ts.isArrowFunction(words)) return [];
  if (ts.isBlock(words.body)) return [];
  const code = ts.isStringLiteral(name) ? name.text : name.getText();
  return spoken(words.body).map((cause) => ({ code, cause, mend: "" }));
}

/** Name of the constant whose entry this is. */
function tableOf(name: ts.Node): string {
  const table = ts.findAncestor(name, ts.isVariableDeclaration);
  return table?.name.getText() ?? "";
}

function literal(node: ts.Node | undefined): string | undefined {
  return node && ts.isStringLiteralLike(node) ? node.text : undefined;
}

/** The texts that an expression may be; of one that is worked out elsewhere "…". */
function spoken(node: ts.Expression): string[] {
  if (ts.isIdentifier(node)) return constants(node).flatMap(spoken);
  if (ts.isStringLiteralLike(node)) return [node.text];
  if (ts.isTemplateExpression(node))
    return [node.head.text + node.templateSpans.map((span) => `…${span.literal.text}`).join("")];
  if (ts.isConditionalExpression(node)) return [...spoken(node.whenTrue), ...spoken(node.whenFalse)];
  if (ts.isParenthesizedExpression(node)) return spoken(node.expression);
  if (ts.isBinaryExpression(node) && node.operatorToken.kind === ts.SyntaxKind.PlusToken)
    return spoken(node.left).flatMap((a) => spoken(node.right).map((b) => a + b));
  return [unsaid];
}

/** What a name stands for in the function around it, where it is written there. */
function constants(name: ts.Identifier): ts.Expression[] {
  for (let around: ts.Node | undefined = name.parent; around; around = around.parent) {
    if (!ts.isBlock(around)) continue;
    for (const statement of around.statements) {
      if (!ts.isVariableStatement(statement)) continue;
      for (const { name: own, initializer } of statement.declarationList.declarations)
        if (own.getText() === name.text && initializer && !ts.isIdentifier(initializer)) return [initializer];
    }
  }
  return [ts.factory.createNull()];
}

/** What mends it: a hint that is written there, else that a text is offered to put there. */
function mendIn(node: ts.Expression | undefined): string {
  if (!node) return "";
  if (ts.isStringLiteralLike(node) || ts.isTemplateExpression(node) || ts.isConditionalExpression(node))
    return spoken(node)
      .filter((one) => one !== unsaid)
      .join("; or ");
  let mend = "";
  const visit = (inner: ts.Node) => {
    if (ts.isPropertyAssignment(inner) && inner.name.getText() === "hint")
      mend = spoken(inner.initializer)
        .filter((one) => one !== unsaid)
        .join("; or ");
    if (ts.isPropertyAssignment(inner) && inner.name.getText() === "fix" && mend === "")
      mend = "a text that mends it is offered";
    ts.forEachChild(inner, visit);
  };
  visit(node);
  return mend;
}
