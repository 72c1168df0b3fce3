// The editor's side of the extension: it starts the language server that is packed with it and hands it every design.
import { join } from "node:path";
import { LanguageClient, TransportKind } from "vscode-languageclient/node.js";

/** What is needed of the editor, whose types come with it. */
interface Context {
  readonly extensionPath: string;
}

let client: LanguageClient | undefined;

/** Called by the editor when the first design is opened. */
export async function activate({ extensionPath }: Context): Promise<void> {
  const module = join(extensionPath, "dist", "rampwright.js");
  const server = { module, args: ["editor"], transport: TransportKind.stdio };
  client = new LanguageClient("rampwright", "Rampwright", server, {
    documentSelector: [{ language: "ramp" }],
  });
  await client.start();
}

/** Called by the editor when it goes. */
export async function deactivate(): Promise<void> {
  await client?.stop();
}
