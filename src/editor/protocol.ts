// What the editor takes from the libraries of the Language Server Protocol. These are CommonJS, so the build bundles this file
// alone with what they need, and the other bundles load it.
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
