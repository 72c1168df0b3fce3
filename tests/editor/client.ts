// An editor for tests: starts the command's language server as a process of its own and speaks its protocol with it.
import { spawn } from "node:child_process";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import {
  createProtocolConnection,
  type Diagnostic,
  type Position,
  type ProtocolConnection,
  PublishDiagnosticsNotification,
  type Range,
  StreamMessageReader,
  StreamMessageWriter,
  type TextEdit,
} from "vscode-languageserver-protocol/node.js";
import { root } from "../command/running.js";

/** One editor with its server. */
export interface Editor {
  readonly connection: ProtocolConnection;
  /** What the server wrote into the editor's log. */
  readonly log: string[];
  /** Opens a text; its diagnostics once the server has looked at it. */
  open(uri: string, text: string): Promise<readonly Diagnostic[]>;
  /** Changes a text, as a whole or in a range; its diagnostics then. */
  change(uri: string, text: string, range?: Range): Promise<readonly Diagnostic[]>;
  close(uri: string): void;
  /** Takes leave; gives the server's exit status. */
  end(): Promise<number | null>;
}

/** How an editor begins. */
export interface Beginning {
  /** The folder that it has open. */
  readonly folder?: string;
  /** What it does before it says anything of itself. */
  readonly before?: (connection: ProtocolConnection) => Promise<void>;
}

/** Starts a server. */
export async function start({ folder, before }: Beginning = {}): Promise<Editor> {
  const server = spawn(process.execPath, [join(root, "dist/rampwright.js"), "editor", "--stdio"], {
    stdio: ["pipe", "pipe", "inherit"],
  });
  const ended = new Promise<number | null>((resolve) => server.on("exit", resolve));
  const connection = createProtocolConnection(
    new StreamMessageReader(server.stdout),
    new StreamMessageWriter(server.stdin),
  );
  const log: string[] = [];
  const waiting = new Map<string, ((found: readonly Diagnostic[]) => void)[]>();
  connection.onNotification("window/logMessage", ({ message }: { message: string }) => log.push(message));
  connection.onNotification(PublishDiagnosticsNotification.type, ({ uri, diagnostics }) => {
    for (const take of waiting.get(uri)?.splice(0) ?? []) take(diagnostics);
  });
  connection.listen();
  const looked = (uri: string) =>
    new Promise<readonly Diagnostic[]>((resolve) => {
      waiting.set(uri, [...(waiting.get(uri) ?? []), resolve]);
    });
  const workspaceFolders =
    folder === undefined ? null : [{ uri: pathToFileURL(folder).href, name: "nest box" }];
  await before?.(connection);
  await connection.sendRequest("initialize", {
    processId: process.pid,
    rootUri: null,
    workspaceFolders,
    capabilities: {},
  });
  await connection.sendNotification("initialized", {});
  let version = 1;
  return {
    connection,
    log,
    open(uri, text) {
      void connection.sendNotification("textDocument/didOpen", {
        textDocument: { uri, languageId: "ramp", version: version++, text },
      });
      return looked(uri);
    },
    change(uri, text, range) {
      void connection.sendNotification("textDocument/didChange", {
        textDocument: { uri, version: version++ },
        contentChanges: [range ? { range, text } : { text }],
      });
      return looked(uri);
    },
    close(uri) {
      void connection.sendNotification("textDocument/didClose", { textDocument: { uri } });
    },
    async end() {
      await connection.sendRequest("shutdown");
      await connection.sendNotification("exit");
      const status = await ended;
      connection.dispose();
      return status;
    },
  };
}

/** The address of a file of the examples. */
export function exampleUri(name: string): string {
  return pathToFileURL(join(root, "examples", name)).href;
}

/** The position of the n-th occurrence of some words, plus so many characters. */
export function positionOf(text: string, words: string, plus = 0, n = 0): Position {
  let at = -1;
  for (let i = 0; i <= n; i++) at = text.indexOf(words, at + 1);
  if (at < 0) throw new Error(`"${words}" does not stand in the text`);
  const before = text.slice(0, at).split(/\r\n|\n|\r/);
  return { line: before.length - 1, character: before.at(-1)!.length + plus };
}

/** A text with edits, from the last to the first. */
export function applied(text: string, edits: readonly TextEdit[]): string {
  const starts = [0, ...[...text.matchAll(/\r\n|\n|\r/g)].map((end) => end.index + end[0].length)];
  const at = ({ line, character }: Position) => starts[line] + character;
  const sorted = [...edits].sort((a, b) => at(b.range.start) - at(a.range.start));
  return sorted.reduce(
    (whole, { range, newText }) => whole.slice(0, at(range.start)) + newText + whole.slice(at(range.end)),
    text,
  );
}

/** What stands in a range. */
export function within(text: string, { start, end }: Range): string {
  const lines = text.split(/\r\n|\n|\r/);
  return start.line === end.line ? lines[start.line].slice(start.character, end.character) : "";
}
