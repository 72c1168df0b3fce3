// The texts that are open in an editor and those that they bring. Takes texts as they change; gives what is wrong with each, its
// names and where they stand. What was worked out is kept until any text changes.
// Always: an open text counts as it stands in the editor, whatever its file says; nothing outside of a design's folder is read.
import { existsSync } from "node:fs";
import { dirname, isAbsolute, join, relative, resolve } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import { shipped } from "../blocks/shipped.js";
import { type Inspection, inspect } from "../compile.js";
import { type Vocabulary, vocabularyOf } from "../design/vocabulary.js";
import { resolvers } from "../files/neighbours.js";
import { luminance } from "../files/pixels.js";
import { read } from "../syntax/read.js";
import { blocksIn, familyOf } from "./family.js";
import { type Named, type Page, pageOf } from "./named.js";
import { type Index, indexOf } from "./occurrences.js";

/** UTF-16 code units of a text that is looked at while it is written. */
const most = 1_000_000;

/** A text that a design brings. */
interface Neighbour {
  /** Absent where it is no file that could be shown. */
  readonly uri?: string;
  readonly text: string;
}

/** What is known of one text. */
interface Known {
  readonly text: string;
  readonly page: Page;
  inspection?: Inspection;
  index?: Index;
}

/** The texts at hand. */
export class Desk {
  readonly vocabulary: Vocabulary = vocabularyOf();
  private readonly open = new Map<string, string>();
  private readonly known = new Map<string, Known>();

  /** @param blocks the folder in which the blocks that ship stand as files; none unless given */
  constructor(private readonly blocks?: string) {}

  /** Takes a text as it stands now. */
  put(uri: string, text: string): void {
    this.open.set(uri, text);
    this.forget();
  }

  /** A text that is open no more counts as its file does. */
  close(uri: string): void {
    this.open.delete(uri);
    this.forget();
  }

  /** Something has changed outside. */
  forget(): void {
    this.known.clear();
  }

  /** The open texts. */
  get uris(): readonly string[] {
    return [...this.open.keys()];
  }

  /** A text as it stands in the editor, or in its file where an open one brings it. */
  text(uri: string): string | undefined {
    return this.open.get(uri) ?? this.known.get(uri)?.text;
  }

  /** What is wrong with a text, and its design where nothing is. */
  inspect(uri: string): Inspection {
    const known = this.of(uri);
    if (!known) return { diagnostics: [] };
    known.inspection ??= this.look(uri, known.text);
    return known.inspection;
  }

  /** What is wrong with a text that might stand in the place of one. */
  look(uri: string, text: string): Inspection {
    if (text.length > most) return tooLong;
    const folder = homeOf(uri);
    const near = folder === undefined ? undefined : resolvers(folder, luminance);
    return inspect(text, {
      name: uri.slice(uri.lastIndexOf("/") + 1),
      resolve: (path) => this.near(uri, path)?.text,
      pictures: (path) => near?.pictures(path),
    });
  }

  /** The names of a text. */
  page(uri: string): Page | undefined {
    return this.of(uri)?.page;
  }

  /** What a text speaks of, and where. */
  index(uri: string): Index {
    const known = this.of(uri);
    if (!known) return { occurrences: [], mentions: [] };
    const blocks = this.blocksOf(uri);
    known.index ??= indexOf(known.page, (name) => blocks.get(name), this.vocabulary);
    return known.index;
  }

  /** The blocks that a text may use: its own, and those of the texts that it brings. */
  blocksOf(uri: string): ReadonlyMap<string, Named> {
    return blocksIn(this.family(uri));
  }

  /** A text and all that it brings, itself first. */
  family(uri: string): Page[] {
    const own = this.page(uri);
    const behind = (path: string) => {
      const near = this.near(uri, path);
      return near && this.of(near.uri ?? `shipped:${path}`, near.text)?.page;
    };
    return own ? familyOf(own, behind) : [];
  }

  /** What stands behind a `bring` of a text. */
  near(uri: string, path: string): Neighbour | undefined {
    if (path.startsWith("shipped/")) {
      const name = path.slice("shipped/".length);
      const text = shipped.get(name);
      if (text === undefined) return undefined;
      const file = this.blocks === undefined ? undefined : join(this.blocks, `${name}.ramp`);
      return { text, ...(file !== undefined && existsSync(file) && { uri: pathToFileURL(file).href }) };
    }
    const folder = homeOf(uri);
    if (folder === undefined || path.includes("\0") || isAbsolute(path)) return undefined;
    const inside = relative(folder, resolve(folder, path));
    const there = pathToFileURL(resolve(folder, path)).href;
    const open = inside.startsWith("..") || isAbsolute(inside) ? undefined : this.open.get(there);
    const text = open ?? resolvers(folder, luminance).resolve(path);
    return text === undefined ? undefined : { text, uri: there };
  }

  private of(uri: string, otherwise?: string): Known | undefined {
    const text = this.open.get(uri) ?? otherwise;
    const before = this.known.get(uri);
    if (before || text === undefined) return before;
    const tree = text.length > most ? { statements: [], comments: [] } : read(text).tree;
    const page = pageOf(uri, tree, (word) => this.vocabulary.kind(word));
    const made: Known = { text, page };
    this.known.set(uri, made);
    return made;
  }
}

const tooLong: Inspection = {
  diagnostics: [
    {
      code: "not-looked-at",
      severity: "warning",
      message: `a text of more than ${most} characters is not looked at while it is written`,
      span: { line: 1, column: 1, length: 0 },
    },
  ],
};

/** The folder of a text; undefined where it is no file. */
export function homeOf(uri: string): string | undefined {
  try {
    return dirname(fileURLToPath(uri));
  } catch {
    return undefined;
  }
}
