// The texts open in an editor and those that they bring. Takes texts as they change; gives the mistakes of each, its names and
// where they stand. Results are cached until any text changes. An open text counts as it stands in the editor, whatever its
// file says. Nothing outside a design's folder is read.
import { existsSync, readFileSync, statSync } from "node:fs";
import { dirname, isAbsolute, join, relative, resolve } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import { shipped } from "../blocks/shipped.js";
import { type Inspection, inspect } from "../compile.js";
import { type Vocabulary, vocabularyOf } from "../design/vocabulary.js";
import { filesBelow, mostBytes, type Resolvers, resolvers } from "../files/neighbours.js";
import { luminance } from "../files/pixels.js";
import { read } from "../syntax/read.js";
import { blocksIn, familyOf } from "./family.js";
import { type Named, type Page, pageOf } from "./named.js";
import { type Index, indexOf } from "./occurrences.js";
import type { FileSort } from "./offers.js";

/** Longest text that is checked as it is typed, in UTF-16 code units. */
const most = 1_000_000;
/** Most captures kept in the cache. */
const mostCaptures = 20;

const endings: Readonly<Record<FileSort, readonly string[]>> = {
  text: [".ramp"],
  picture: [".png"],
  capture: [".csv", ".tsv", ".txt", ".dat", ".wav"],
};

/** A text that a design brings. */
interface Neighbour {
  /** Absent if no file can be shown for it. */
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
  /** Captures by the state of their file, so that a long one is not read again at every key. */
  private readonly captures = new Map<string, ReturnType<Resolvers["captures"]>>();
  /** The editor's open folders, where designs stand that are not open themselves. */
  folders: readonly string[] = [];

  /** @param blocks the folder that has the shipped blocks as files, if any */
  constructor(private readonly blocks?: string) {}

  /** Takes a text as it stands now. */
  put(uri: string, text: string): void {
    this.open.set(uri, text);
    this.forget();
  }

  /** A closed text counts as its file stands. */
  close(uri: string): void {
    this.open.delete(uri);
    this.forget();
  }

  /** Drops all cached results, as something outside has changed. */
  forget(): void {
    this.known.clear();
  }

  /** The open texts. */
  get uris(): readonly string[] {
    return [...this.open.keys()];
  }

  /** A text as it stands in the editor, or in its file if an open text brings it. */
  text(uri: string): string | undefined {
    return this.open.get(uri) ?? this.known.get(uri)?.text;
  }

  /** The mistakes of a text, and its design if there are none. */
  inspect(uri: string): Inspection {
    const known = this.of(uri);
    if (!known) return { diagnostics: [] };
    known.inspection ??= this.look(uri, known.text);
    return known.inspection;
  }

  /** The mistakes of a text that might replace the one at `uri`. */
  look(uri: string, text: string): Inspection {
    if (text.length > most) return tooLong;
    const folder = homeOf(uri);
    const near = folder === undefined ? undefined : resolvers(folder, luminance);
    return inspect(text, {
      name: uri.slice(uri.lastIndexOf("/") + 1),
      resolve: (path) => this.near(uri, path)?.text,
      pictures: (path) => near?.pictures(path),
      captures: (path, interval) => (folder === undefined ? undefined : this.capture(folder, path, interval)),
    });
  }

  /** The names of a text. */
  page(uri: string): Page | undefined {
    return this.of(uri)?.page;
  }

  /** The names and words that a text mentions, and where. */
  index(uri: string): Index {
    const known = this.of(uri);
    if (!known) return { occurrences: [], mentions: [] };
    const blocks = this.blocksOf(uri);
    known.index ??= indexOf(known.page, (name) => blocks.get(name), this.vocabulary);
    return known.index;
  }

  /** The blocks that a text may use: its own, and those of the texts it brings. */
  blocksOf(uri: string): ReadonlyMap<string, Named> {
    return blocksIn(this.family(uri));
  }

  /** A text and all that it brings, starting with itself. */
  family(uri: string): Page[] {
    const own = this.page(uri);
    const behind = (path: string) => {
      const near = this.near(uri, path);
      return near && this.of(near.uri ?? `shipped:${path}`, near.text)?.page;
    };
    return own ? familyOf(own, behind) : [];
  }

  /** Files that a text may name, except its own. */
  filesNear(uri: string, sort: FileSort): string[] {
    const folder = homeOf(uri);
    if (folder === undefined) return [];
    return filesBelow(folder, endings[sort]).filter((path) => uriOf(folder, path) !== uri);
  }

  /** Texts, open or not, that bring this one directly or through others; searched in the editor's folders, else in its own. */
  bringing(uri: string): string[] {
    const home = homeOf(uri);
    const folders = this.folders.length > 0 ? this.folders : home === undefined ? [] : [home];
    const closed = folders.flatMap((folder) =>
      filesBelow(folder, endings.text).map((path) => uriOf(folder, path)),
    );
    return [...new Set([...this.open.keys(), ...closed])].filter((one) => {
      if (one !== uri && this.of(one, closedText(one)))
        return this.family(one).some((page) => page.uri === uri);
      return false;
    });
  }

  /** What a `bring` in a text refers to. */
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

  private capture(folder: string, path: string, interval: number | undefined) {
    const state = statSync(resolve(folder, path), { throwIfNoEntry: false });
    const key = JSON.stringify([folder, path, interval, state?.mtimeMs, state?.size]);
    if (!this.captures.has(key)) {
      const read = resolvers(folder, luminance).captures(path, interval);
      // This drops what is left of files that have since changed.
      if (this.captures.size >= mostCaptures) this.captures.clear();
      this.captures.set(key, read);
    }
    return this.captures.get(key);
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

function uriOf(folder: string, path: string): string {
  return pathToFileURL(resolve(folder, path)).href;
}

/** The text of a file that is not open, if it may be a design that brings others. */
function closedText(uri: string): string | undefined {
  try {
    const file = fileURLToPath(uri);
    if (statSync(file).size > mostBytes) return undefined;
    const text = readFileSync(file, "utf8");
    return /\bbring\b/.test(text) ? text : undefined;
  } catch {
    return undefined;
  }
}

/** The folder of a text; undefined if it is not a file. */
export function homeOf(uri: string): string | undefined {
  try {
    return dirname(fileURLToPath(uri));
  } catch {
    return undefined;
  }
}
