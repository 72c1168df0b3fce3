// Checks the order of the stages: a folder of src/ imports only from itself and from folders before it; the core
// (all but command, testing and report) imports no Node module and no undeclared package, and touches no global of a
// browser or of Node, no clock and no unseeded chance.
// Prints each offender as file:line and exits 1; silent and 0 when there is none. Needs only typescript.
import { readdirSync, readFileSync } from "node:fs";
import { dirname, join, normalize, sep } from "node:path";
import { fileURLToPath } from "node:url";
import ts from "typescript";

const root = fileURLToPath(new URL("..", import.meta.url));
const stages = [
  "base",
  "waveforms",
  "measures",
  "signals",
  "instruments",
  "syntax",
  "parts",
  "blocks",
  "design",
  "equations",
  "stepping",
  "assembly",
  "reading",
  "simulation",
  "tube",
  "judging",
  "variation",
  "spread",
  "sizing",
  "faults",
  "captures",
  "diagnosis",
  "workshop",
];
// Drawing is apart from the core, so is what helps tests, and the command stands on everything.
const apart = ["report", "schematic", "page", "files", "testing", "editor", "live", "command"];
const foreign = new Set(
  (
    "window document navigator location localStorage sessionStorage HTMLElement Element Node Event Worker fetch " +
    "XMLHttpRequest requestAnimationFrame alert process Buffer require module global __dirname __filename " +
    "console setTimeout setInterval setImmediate queueMicrotask performance Date"
  ).split(" "),
);

// The files that may look at a clock: one stops a run by a budget of time, the other, which may use a timer as well, lets
// others have their turn while a run goes on. Neither changes what is computed.
const timekeepers = new Set(["simulation/supervision.ts", "simulation/asynchronous.ts"]);

const offences = [];
const { dependencies } = JSON.parse(readFileSync(join(root, "package.json"), "utf8"));
const files = readdirSync(join(root, "src"), { recursive: true, encoding: "utf8" })
  .filter((name) => name.endsWith(".ts"))
  .map((name) => name.split(sep).join("/"))
  .sort();

for (const name of files) {
  const text = readFileSync(join(root, "src", name), "utf8");
  const file = ts.createSourceFile(name, text, ts.ScriptTarget.ES2023, true);
  const say = (position, what) => {
    const { line } = file.getLineAndCharacterOfPosition(position);
    offences.push(`src/${name}:${line + 1}: ${what}`);
  };
  const folder = name.includes("/") ? name.slice(0, name.indexOf("/")) : "";
  if (folder !== "" && rank(folder) < 0) say(0, `the folder ${folder} is no stage`);
  for (const { fileName, pos } of ts.preProcessFile(text, true, true).importedFiles) {
    const fault = importFault(name, folder, fileName);
    if (fault) say(pos, fault);
  }
  if (!apart.includes(folder) && !timekeepers.has(name))
    for (const [position, what] of strangers(file)) say(position, what);
}

for (const offence of offences) console.error(offence);
process.exitCode = offences.length > 0 ? 1 : 0;

/** Place in the order; files directly in src/ come after the core and before what is apart; -1 when unknown. */
function rank(folder) {
  if (folder === "") return stages.length;
  if (apart.includes(folder)) return stages.length + 1 + apart.indexOf(folder);
  return stages.indexOf(folder);
}

/** What is wrong with an import, or nothing. */
function importFault(name, folder, specifier) {
  const core = !apart.includes(folder);
  if (!specifier.startsWith(".")) {
    if (!core) return undefined;
    if (specifier.startsWith("node:")) return `the core imports the Node module ${specifier}`;
    const parts = specifier.split("/");
    const from = specifier.startsWith("@") ? parts.slice(0, 2).join("/") : parts[0];
    return from in dependencies ? undefined : `the core imports ${from}, which is no runtime dependency`;
  }
  const target = normalize(join(dirname(name), specifier))
    .split(sep)
    .join("/");
  if (target.startsWith("../")) return `imports ${specifier}, outside src/`;
  const other = target.includes("/") ? target.slice(0, target.indexOf("/")) : "";
  // A folder that is no stage has been named once already.
  if (rank(folder) < 0) return undefined;
  return rank(other) > rank(folder)
    ? `${folder || "the entry"} imports from ${other || "the entry"}, a later stage (${specifier})`
    : undefined;
}

/** Globals of a browser or of Node, and Math.random, where they are used; names the file declares are its own. */
function strangers(file) {
  const own = new Set();
  const used = [];
  const visit = (node) => {
    if ("name" in node && node.name && ts.isIdentifier(node.name) && declares(node)) own.add(node.name.text);
    if (ts.isIdentifier(node) && foreign.has(node.text) && stands(node)) used.push(node);
    if (ts.isPropertyAccessExpression(node) && node.getText(file) === "Math.random") used.push(node);
    ts.forEachChild(node, visit);
  };
  visit(file);
  return used
    .filter((node) => !(ts.isIdentifier(node) && own.has(node.text)))
    .map((node) => [node.getStart(file), `the core touches ${node.getText(file)}`]);
}

/** Whether a node with a name brings that name into a scope (properties and methods do not). */
function declares(node) {
  return (
    ts.isVariableDeclaration(node) ||
    ts.isParameter(node) ||
    ts.isBindingElement(node) ||
    ts.isFunctionDeclaration(node) ||
    ts.isClassDeclaration(node) ||
    ts.isInterfaceDeclaration(node) ||
    ts.isTypeAliasDeclaration(node) ||
    ts.isEnumDeclaration(node) ||
    ts.isTypeParameterDeclaration(node) ||
    ts.isImportSpecifier(node) ||
    ts.isImportClause(node) ||
    ts.isNamespaceImport(node)
  );
}

/** Whether an identifier stands for a variable or a type, not for a member or a label of something else. */
function stands(node) {
  const { parent } = node;
  if (ts.isPropertyAccessExpression(parent)) return parent.expression === node;
  if (ts.isQualifiedName(parent)) return parent.left === node;
  if ("name" in parent && parent.name === node) return ts.isShorthandPropertyAssignment(parent);
  return !("propertyName" in parent && parent.propertyName === node);
}
