// Checks how the source is kept: files of 15 to 320 lines (a kind of part and the program's own file may be shorter),
// functions under 80 lines with at most 5 parameters, no circle of imports (types count), no file name and no exported
// name that stands twice.
// Prints each offender as file:line and exits 1; silent and 0 when there is none. `node .ci/house.mjs parts design` looks at
// these folders alone. Needs only typescript.
import { readdirSync, readFileSync } from "node:fs";
import { dirname, join, normalize, sep } from "node:path";
import { fileURLToPath } from "node:url";
import ts from "typescript";

const most = { lines: 320, body: 79, parameters: 5 };
const least = 15;
// The program hands the command line in and the status out: it runs when it is loaded, so nothing else may stand in it.
const program = "command/main.ts";
const root = fileURLToPath(new URL("../src", import.meta.url));
const wanted = process.argv.slice(2);
const files = readdirSync(root, { recursive: true, encoding: "utf8" })
  .map((name) => name.split(sep).join("/"))
  .filter((name) => name.endsWith(".ts") && name !== "blocks/shipped.ts")
  .sort();

const offences = [];
const imports = new Map();
const bases = new Map();
const exported = new Map();

for (const name of files) {
  const text = readFileSync(join(root, name), "utf8");
  const file = ts.createSourceFile(name, text, ts.ScriptTarget.ES2023, true);
  const say = (node, what) => offences.push([name, lineOf(file, node), what]);
  const lines = file.getLineStarts().length - (text.endsWith("\n") ? 1 : 0);
  if (lines > most.lines) offences.push([name, lines, `${lines} lines, more than ${most.lines}`]);
  if (lines < least && !name.startsWith("parts/") && name !== program)
    offences.push([name, 1, `${lines} lines, fewer than ${least}`]);
  note(bases, name.slice(name.lastIndexOf("/") + 1), name, 1);
  imports.set(name, targets(name, file));
  // The entry hands names on; what it hands on is declared elsewhere.
  if (name.includes("/"))
    for (const node of file.statements)
      for (const one of namesOf(node)) note(exported, one, name, lineOf(file, node));
  functions(file, (node) => {
    const long = lineOf(file, node.end) - lineOf(file, node.getStart(file)) + 1;
    if (long > most.body) say(node.getStart(file), `a function of ${long} lines, more than ${most.body}`);
    if (node.parameters.length > most.parameters)
      say(node.getStart(file), `${node.parameters.length} parameters, more than ${most.parameters}`);
  });
}

for (const [what, places] of [...bases, ...exported])
  if (places.length > 1)
    for (const [name, line] of places)
      offences.push([
        name,
        line,
        `'${what}' stands also in ${places
          .filter(([other]) => other !== name)
          .map(([other]) => other)
          .join(", ")}`,
      ]);
for (const circle of circles()) offences.push([circle[0], 1, `a circle of imports: ${circle.join(" → ")}`]);

const told = offences.filter(([name]) => wanted.length === 0 || wanted.includes(name.split("/")[0]));
for (const [name, line, what] of told.sort()) console.error(`src/${name}:${line}: ${what}`);
process.exitCode = told.length > 0 ? 1 : 0;

function lineOf(file, at) {
  return file.getLineAndCharacterOfPosition(typeof at === "number" ? at : at.getStart(file)).line + 1;
}

function note(map, key, name, line) {
  const places = map.get(key) ?? [];
  // Overloads, and a type with a value of its name, are one thing.
  if (!places.some(([other]) => other === name)) places.push([name, line]);
  map.set(key, places);
}

/** The source files that a file imports, types included. */
function targets(name, file) {
  return ts
    .preProcessFile(file.text, true, true)
    .importedFiles.map(({ fileName }) => fileName)
    .filter((specifier) => specifier.startsWith("."))
    .map((specifier) =>
      normalize(join(dirname(name), specifier))
        .split(sep)
        .join("/")
        .replace(/\.js$/, ".ts"),
    );
}

/** The names that a statement exports by declaring them. */
function namesOf(node) {
  if (!node.modifiers?.some(({ kind }) => kind === ts.SyntaxKind.ExportKeyword)) return [];
  if (ts.isVariableStatement(node))
    return node.declarationList.declarations.map(({ name }) => name.text).filter(Boolean);
  return node.name ? [node.name.text] : [];
}

function functions(node, tell) {
  if ((ts.isFunctionLike(node) && node.body) || ts.isConstructorDeclaration(node)) tell(node);
  ts.forEachChild(node, (child) => functions(child, tell));
}

/** One circle for each group of files that reach each other (R. E. Tarjan, SIAM J. Comput. 1(2), 1972). */
function circles() {
  const found = [];
  const index = new Map();
  const low = new Map();
  const stack = [];
  const visit = (name) => {
    index.set(name, index.size);
    low.set(name, index.get(name));
    stack.push(name);
    for (const target of imports.get(name) ?? []) {
      if (!imports.has(target)) continue;
      if (!index.has(target)) visit(target);
      if (stack.includes(target)) low.set(name, Math.min(low.get(name), low.get(target)));
    }
    if (low.get(name) !== index.get(name)) return;
    const group = stack.splice(stack.indexOf(name));
    if (group.length > 1) found.push(group);
  };
  for (const name of files) if (!index.has(name)) visit(name);
  return found;
}
