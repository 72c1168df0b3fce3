// The language server: answers an editor's requests (Language Server Protocol 3.17) from the desk. It serves one connection on
// the streams that it is given. It always answers: an error of our own goes to the editor's log.
import { fileURLToPath } from "node:url";
import { format } from "../syntax/layout.js";
import { split } from "../syntax/lines.js";
import { colours, legend } from "./colours.js";
import { Desk } from "./desk.js";
import { hover } from "./hovering.js";
import { definition, highlights, outline, references, rename, renameable } from "./navigation.js";
import { mends, problems } from "./problems.js";
import {
  type CompletionItem,
  CompletionItemKind,
  createConnection,
  DidChangeWatchedFilesNotification,
  ErrorCodes,
  type InitializeResult,
  ResponseError,
  TextDocument,
  TextDocumentSyncKind,
  TextDocuments,
  type TextEdit,
} from "./protocol.js";
import { type Suggestion, suggestions } from "./suggestions.js";

/** Milliseconds without a change before a text is checked. */
const pause = 120;

const capabilities: InitializeResult["capabilities"] = {
  textDocumentSync: TextDocumentSyncKind.Incremental,
  completionProvider: { triggerCharacters: [" ", ".", '"', ",", "/"] },
  hoverProvider: true,
  definitionProvider: true,
  referencesProvider: true,
  documentHighlightProvider: true,
  renameProvider: { prepareProvider: true },
  documentSymbolProvider: true,
  documentFormattingProvider: true,
  codeActionProvider: { codeActionKinds: ["quickfix"] },
  semanticTokensProvider: { legend, full: true },
};

/**
 * Serves one editor until it disconnects.
 * @param version the version that the server reports
 * @returns once the editor has disconnected; 0 if it shut the server down first, else 1
 */
export function serve(
  input: NodeJS.ReadableStream,
  output: NodeJS.WritableStream,
  version: string,
): Promise<number> {
  const connection = createConnection(input, output);
  let watches = false;
  // What the protocol answers to requests before the first and after the last one ("Server lifecycle").
  let refused: ErrorCodes | undefined = ErrorCodes.ServerNotInitialized;
  connection.onInitialize(({ capabilities: theirs, workspaceFolders, rootUri }) => {
    refused = undefined;
    const folders = workspaceFolders?.map(({ uri }) => uri) ?? (rootUri ? [rootUri] : []);
    desk.folders = folders.filter((uri) => uri.startsWith("file:")).map((uri) => fileURLToPath(uri));
    watches = theirs.workspace?.didChangeWatchedFiles?.dynamicRegistration ?? false;
    return { capabilities, serverInfo: { name: "rampwright", version } };
  });
  connection.onInitialized(() => {
    const watchers = [{ globPattern: "**/*.{ramp,png,csv,tsv,txt,dat,wav}" }];
    if (watches) void connection.client.register(DidChangeWatchedFilesNotification.type, { watchers });
  });
  // The bundles are one folder below the package's root.
  const desk = new Desk(fileURLToPath(new URL("../examples/blocks", import.meta.url)));
  const guarded = guard(connection);
  const stop = follow(connection, desk, guarded);
  answer(connection, desk, (otherwise, answer) => {
    if (refused !== undefined) throw new ResponseError(refused, "the server is not at work");
    return guarded(otherwise, answer);
  });
  return new Promise((resolve) => {
    connection.onShutdown(() => {
      refused = ErrorCodes.InvalidRequest;
      stop();
    });
    const end = () => resolve(refused === ErrorCodes.InvalidRequest ? 0 : 1);
    connection.onExit(end);
    input.on("end", end);
    connection.listen();
  });
}

type Connection = ReturnType<typeof createConnection>;
/** Gives an answer, or the first argument if an error of our own prevents it. */
type Guarded = <T>(otherwise: T, answer: () => T) => T;

function guard(connection: Connection): Guarded {
  return (otherwise, answer) => {
    try {
      return answer();
    } catch (error) {
      if (error instanceof ResponseError) throw error;
      const what = error instanceof Error ? error.stack : String(error);
      connection.console.error(`a mistake in Rampwright itself, please report it: ${what}`);
      return otherwise;
    }
  };
}

/** Keeps the desk in step with the editor's texts and reports their mistakes; returns what stops that. */
function follow(connection: Connection, desk: Desk, guarded: Guarded): () => void {
  const documents = new TextDocuments(TextDocument);
  let timer: NodeJS.Timeout | undefined;
  const look = () => {
    for (const uri of desk.uris)
      guarded(undefined, () => void connection.sendDiagnostics({ uri, diagnostics: problems(desk, uri) }));
  };
  // A change to a text can affect those that bring it, so all are checked once the typing pauses.
  const later = () => {
    clearTimeout(timer);
    timer = setTimeout(look, pause);
  };
  documents.onDidChangeContent(({ document }) => {
    desk.put(document.uri, document.getText());
    later();
  });
  documents.onDidClose(({ document: { uri } }) => {
    desk.close(uri);
    void connection.sendDiagnostics({ uri, diagnostics: [] });
    later();
  });
  connection.onDidChangeWatchedFiles(() => {
    desk.forget();
    later();
  });
  documents.listen(connection);
  return () => clearTimeout(timer);
}

function completionOf({ label, kind, detail, from, to }: Suggestion, line: number): CompletionItem {
  const range = { start: { line, character: from }, end: { line, character: to } };
  return {
    label,
    kind: CompletionItemKind[kind],
    detail,
    filterText: label,
    textEdit: { range, newText: label },
  };
}

/** Answers what the editor asks. */
function answer(connection: Connection, desk: Desk, guarded: Guarded): void {
  connection.onCompletion(({ textDocument: { uri }, position }) =>
    guarded([], () => suggestions(desk, uri, position).map((one) => completionOf(one, position.line))),
  );
  connection.onHover(({ textDocument: { uri }, position }) =>
    guarded(null, () => hover(desk, uri, position) ?? null),
  );
  connection.onDefinition(({ textDocument: { uri }, position }) =>
    guarded(null, () => definition(desk, uri, position) ?? null),
  );
  connection.onReferences(({ textDocument: { uri }, position, context }) =>
    guarded([], () => references(desk, uri, position, context.includeDeclaration)),
  );
  connection.onDocumentHighlight(({ textDocument: { uri }, position }) =>
    guarded([], () => highlights(desk, uri, position).map((range) => ({ range }))),
  );
  connection.onPrepareRename(({ textDocument: { uri }, position }) =>
    guarded(null, () => renameable(desk, uri, position) ?? null),
  );
  connection.onRenameRequest(({ textDocument: { uri }, position, newName }) =>
    guarded(null, () => {
      const made = rename(desk, uri, position, newName);
      if (typeof made === "string") throw new ResponseError(ErrorCodes.InvalidParams, made);
      return made;
    }),
  );
  connection.onDocumentSymbol(({ textDocument: { uri } }) => guarded([], () => outline(desk, uri)));
  connection.onDocumentFormatting(({ textDocument: { uri } }) => guarded([], () => laidOut(desk.text(uri))));
  connection.onCodeAction(({ textDocument: { uri }, range }) => guarded([], () => mends(desk, uri, range)));
  connection.languages.semanticTokens.on(({ textDocument: { uri } }) =>
    guarded({ data: [] }, () => colours(desk, uri)),
  );
}

/** The canonical layout as one edit that keeps the text's line ends; none if the text has mistakes or is laid out already. */
function laidOut(text: string | undefined): TextEdit[] {
  const { text: made } = text === undefined ? {} : format(text);
  if (text === undefined || made === undefined) return [];
  const ends = /\r\n|\n|\r/.exec(text)?.[0] ?? "\n";
  const newText = made.replaceAll("\n", ends);
  if (newText === text) return [];
  const lines = split(text);
  const end = {
    line: lines.length - 1,
    character: lines.at(-1)!.length + (lines.length === 1 && text.startsWith("\ufeff") ? 1 : 0),
  };
  return [{ range: { start: { line: 0, character: 0 }, end }, newText }];
}
