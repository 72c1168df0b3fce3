// The recipes of DEVELOPERS.md can be followed as they stand: every file that they name is there, and every fact that they
// ask for is one of the contract. A part and a measure made by them stand in tests/parts/added.ts and are held to all that
// the built-in ones are; those for a diagnostic and for a shipped block end at the tests that they name.
import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { root } from "../command/running.js";
import { lamp, overshoot } from "../parts/added.js";

const read = (file: string) => readFileSync(join(root, file), "utf8");
const recipes = new Map(
  read("DEVELOPERS.md")
    .split(/^## /m)
    .filter((section) => section.startsWith("Adding a "))
    .map((section) => [section.slice("Adding a ".length, section.indexOf("\n")), section]),
);

/** Members of an interface as its source declares them. */
function membersOf(file: string, name: string): Set<string> {
  const text = read(file);
  const from = text.indexOf(`export interface ${name} {`);
  const body = text.slice(from, text.indexOf("\n}", from));
  return new Set([...body.matchAll(/^ {2}(?:readonly )?(\w+)\??[(:]/gm)].map(([, member]) => member));
}

const named = (recipe: string) => [...recipe.matchAll(/`([^`\n]+)`/g)].map(([, word]) => word);

it.each(["part", "measure", "diagnostic", "shipped block"])(
  "the recipe for a %s names what is there",
  (what) => {
    const recipe = recipes.get(what)!;
    const files = named(recipe).filter((word) =>
      /^(src|tests|examples|grammar|\.ci)\/|^[A-Z]+\.md$/.test(word),
    );
    expect(files.length).toBeGreaterThan(2);
    // The one that is to be written.
    const missing = files.filter((file) => !existsSync(join(root, file)));
    expect(missing).toEqual(what === "part" ? ["src/parts/lamp.ts"] : []);
  },
);

describe("the facts that a recipe asks for", () => {
  it("are those of a kind", () => {
    const members = membersOf("src/parts/contract.ts", "Kind");
    const asked = [
      "word",
      "summary",
      "equations",
      "value",
      "properties",
      "make",
      "delivers",
      "ideal",
      "drives",
    ];
    asked.push("limited", "rail", "beam", "fails", "couples");
    expect(asked.filter((word) => !members.has(word) || !named(recipes.get("part")!).includes(word))).toEqual(
      [],
    );
    expect(Object.keys(lamp).filter((word) => !members.has(word))).toEqual([]);
  });

  it("are those of a measure", () => {
    const members = membersOf("src/measures/window.ts", "Measure");
    const asked = ["words", "summary", "takes", "needs", "unit", "shown", "level", "beside"];
    expect(
      asked.filter((word) => !members.has(word) || !named(recipes.get("measure")!).includes(word)),
    ).toEqual([]);
    expect(Object.keys(overshoot).filter((word) => !members.has(word))).toEqual([]);
  });
});
