// Leaves of the package's types what its entries speak of. A module declares much that only other modules need; who installs the
// package would have to carry it, and to read all that it speaks of in turn. What is left out leaves its lines empty, so that the
// maps of what stays hold.
import { readFileSync, rmSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import ts from "typescript";

/**
 * Writes each file of types anew, or takes it away where nothing of it is asked for.
 * @param files all files of types; `entries` those that users name, which stay whole
 */
export function leaveTypes(files, entries) {
  const modules = new Map(files.map((file) => [file, read(file)]));
  const asked = new Map(files.map((file) => [file, new Set()]));
  const open = entries.flatMap((file) => [...modules.get(file).names].map((name) => [file, name]));
  for (const [file, name] of open) {
    if (!modules.has(file) || asked.get(file).has(name)) continue;
    asked.get(file).add(name);
    const { declared, links, names } = modules.get(file);
    if (links.has(name)) open.push(links.get(name));
    for (const node of declared.get(name) ?? []) open.push(...spoken(node, file, names));
  }
  for (const [file, names] of asked)
    if (names.size > 0) writeFileSync(file, left(modules.get(file).source, names));
    else for (const gone of [file, `${file}.map`]) rmSync(gone, { force: true });
}

/** A file of types: what it declares, and what it has from others, by name. */
function read(file) {
  const source = ts.createSourceFile(file, readFileSync(file, "utf8"), ts.ScriptTarget.Latest, true);
  const declared = new Map();
  const links = new Map();
  for (const node of source.statements) {
    const from = node.moduleSpecifier && fileOf(file, node.moduleSpecifier.text);
    for (const { name, propertyName } of parts(node))
      links.set(name.text, [from, (propertyName ?? name).text]);
    for (const name of namesOf(node)) declared.set(name, [...(declared.get(name) ?? []), node]);
  }
  return { source, declared, links, names: new Set([...declared.keys(), ...links.keys()]) };
}

/** What an import or an export from elsewhere names. */
function parts(node) {
  const among = node.importClause?.namedBindings ?? (node.moduleSpecifier && node.exportClause);
  return among?.elements ?? [];
}

/** What a statement declares; what adds to a module of others goes by a name of its own. */
function namesOf(node) {
  if (ts.isVariableStatement(node)) return node.declarationList.declarations.map(({ name }) => name.text);
  return node.name ? [node.name.text] : [];
}

/** The names, each with its file, that a declaration speaks of. */
function spoken(node, file, names) {
  const found = [];
  const visit = (one) => {
    if (ts.isIdentifier(one) && names.has(one.text)) found.push([file, one.text]);
    if (ts.isImportTypeNode(one)) found.push([fileOf(file, one.argument.literal.text), one.qualifier.text]);
    ts.forEachChild(one, visit);
  };
  visit(node);
  return found;
}

function fileOf(file, specifier) {
  return specifier.startsWith(".") ? join(dirname(file), specifier.replace(/\.js$/, ".d.ts")) : specifier;
}

/** The text of a file without what nobody asks for. */
function left({ statements, text }, names) {
  const cuts = [];
  for (const node of statements) {
    const own = [...parts(node)];
    const gone = own.filter(({ name }) => !names.has(name.text));
    if (own.length > gone.length) {
      for (const one of gone) cuts.push([one.pos, text.slice(one.end).match(/^\s*,?/)[0].length + one.end]);
      continue;
    }
    const declares = namesOf(node);
    const unasked = own.length > 0 || (declares.length > 0 && !declares.some((name) => names.has(name)));
    if (unasked && !node.importClause?.name) cuts.push([node.pos, node.end]);
  }
  let now = text;
  for (const [from, to] of cuts.reverse())
    now = now.slice(0, from) + now.slice(from, to).replace(/[^\n]+/g, "") + now.slice(to);
  return now;
}
