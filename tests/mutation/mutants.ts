// Mutants of a source file: each is one small change that a mistake could have made, found on the syntax tree.
// Takes the text of a file; gives the changes in the order of the text. Always: a mutant still parses; types, comments, imports,
// texts and what only words an error are left alone.
import ts from "typescript";

/** One change. */
export interface Mutant {
  readonly from: number;
  readonly to: number;
  readonly text: string;
  /** Line of the file, from 1. */
  readonly line: number;
  /** What is changed to what. */
  readonly what: string;
}

const { SyntaxKind: K } = ts;

/** Signs that stand in for each other. */
const swaps: ReadonlyMap<ts.SyntaxKind, readonly string[]> = new Map([
  [K.PlusToken, ["-"]],
  [K.MinusToken, ["+"]],
  [K.AsteriskToken, ["/"]],
  [K.SlashToken, ["*"]],
  [K.LessThanToken, ["<=", ">="]],
  [K.LessThanEqualsToken, ["<", ">"]],
  [K.GreaterThanToken, [">=", "<="]],
  [K.GreaterThanEqualsToken, [">", "<"]],
  [K.EqualsEqualsEqualsToken, ["!=="]],
  [K.ExclamationEqualsEqualsToken, ["==="]],
  [K.AmpersandAmpersandToken, ["||"]],
  [K.BarBarToken, ["&&"]],
  [K.QuestionQuestionToken, ["&&"]],
  [K.PlusEqualsToken, ["-="]],
  [K.MinusEqualsToken, ["+="]],
]);

const calls: ReadonlyMap<string, string> = new Map([
  ["min", "max"],
  ["max", "min"],
  ["floor", "ceil"],
  ["ceil", "floor"],
  ["some", "every"],
  ["every", "some"],
  ["lt", "lte"],
  ["lte", "lt"],
  ["gt", "gte"],
  ["gte", "gt"],
]);

/** All mutants of a file. */
export function mutantsOf(text: string): Mutant[] {
  const file = ts.createSourceFile("mutated.ts", text, ts.ScriptTarget.ESNext, true);
  const found: Mutant[] = [];
  const add = (node: ts.Node, put: string) => {
    const from = node.getStart(file);
    const was = text.slice(from, node.end).replace(/\s+/g, " ");
    const line = file.getLineAndCharacterOfPosition(from).line + 1;
    found.push({ from, to: node.end, text: put, line, what: `${was.slice(0, 60)} → ${put.slice(0, 60)}` });
  };
  const visit = (node: ts.Node): void => {
    if (ts.isTypeNode(node) || ts.isImportDeclaration(node) || ts.isInterfaceDeclaration(node)) return;
    if (ts.isThrowStatement(node)) return;
    if (ts.isBinaryExpression(node))
      for (const put of swaps.get(node.operatorToken.kind) ?? []) add(node.operatorToken, put);
    else if (ts.isPrefixUnaryExpression(node) && [K.ExclamationToken, K.MinusToken].includes(node.operator))
      add(node, node.operand.getText(file));
    else if (ts.isNumericLiteral(node) && !ts.isEnumMember(node.parent))
      add(node, node.text === "0" ? "1" : node.text === "1" ? "0" : `(${node.text} + 1)`);
    else if (node.kind === K.TrueKeyword) add(node, "false");
    else if (node.kind === K.FalseKeyword) add(node, "true");
    else if (ts.isConditionalExpression(node)) {
      add(node.condition, "true");
      add(node.condition, "false");
    } else if (ts.isIfStatement(node)) {
      add(node.expression, "false");
      if (!node.elseStatement) add(node.expression, "true");
    } else if (ts.isPropertyAccessExpression(node) && calls.has(node.name.text))
      add(node.name, calls.get(node.name.text)!);
    else if (ts.isExpressionStatement(node) && ts.isCallExpression(node.expression)) add(node, ";");
    ts.forEachChild(node, visit);
  };
  visit(file);
  return found;
}

/** The text of a file with a mutant in it. */
export function mutated(text: string, { from, to, text: put }: Mutant): string {
  return text.slice(0, from) + put + text.slice(to);
}
