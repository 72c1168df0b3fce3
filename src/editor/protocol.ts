// What the editor's side takes from the libraries of the Language Server Protocol. The build makes one file of it, which the others
// load: these libraries are no modules of the newer sort, and only here do they need what such ones need.
export {
  type CodeAction,
  CodeActionKind,
  type CompletionItem,
  CompletionItemKind,
  createConnection,
  type Diagnostic as ShownDiagnostic,
  DiagnosticSeverity,
  DidChangeWatchedFilesNotification,
  type DocumentSymbol,
  ErrorCodes,
  type Hover,
  type InitializeResult,
  type Location,
  type Position,
  type Range,
  ResponseError,
  type SemanticTokens,
  SymbolKind,
  TextDocumentSyncKind,
  TextDocuments,
  type TextEdit,
  type WorkspaceEdit,
} from "vscode-languageserver/node.js";
export { TextDocument } from "vscode-languageserver-textdocument";
