// Packs the extension: `npm run extension` writes out/rampwright-editor.vsix. Such a file is a zip archive with a list of content
// types, a manifest and the extension in a folder of its own; the layout is that of the Open Packaging Conventions (ECMA-376, part 2)
// with the manifest that editors of this family read. Takes the build in dist/; the same sources give the same bytes.
import { mkdirSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { build } from "esbuild";
import { type Zippable, zipSync } from "fflate";

const here = "grammar/editor";
const read = (path: string) => new Uint8Array(readFileSync(path));
const text = (words: string) => new TextEncoder().encode(words);
const markup = (words: string) =>
  words.replaceAll("&", "&amp;").replaceAll("<", "&lt;").replaceAll('"', "&quot;");

const types = `<?xml version="1.0" encoding="utf-8"?>
<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">
${["json", "cjs", "js", "md", "ramp", "txt", "vsixmanifest"]
  .map(
    (end) =>
      `  <Default Extension=".${end}" ContentType="${end === "json" ? "application/json" : "text/plain"}"/>`,
  )
  .join("\n")}
</Types>
`;

/** What the editor reads before it unpacks the rest. */
function manifest(own: Record<string, unknown>): string {
  const { name, version, publisher, displayName, description, categories, engines } = own as {
    name: string;
    version: string;
    publisher: string;
    displayName: string;
    description: string;
    categories: readonly string[];
    engines: { readonly vscode: string };
  };
  const assets = [
    ["Microsoft.VisualStudio.Code.Manifest", "extension/package.json"],
    ["Microsoft.VisualStudio.Services.Content.Details", "extension/README.md"],
    ["Microsoft.VisualStudio.Services.Content.License", "extension/LICENSE.txt"],
  ];
  return `<?xml version="1.0" encoding="utf-8"?>
<PackageManifest Version="2.0.0" xmlns="http://schemas.microsoft.com/developer/vsx-schema/2011">
  <Metadata>
    <Identity Language="en-GB" Id="${name}" Version="${version}" Publisher="${publisher}"/>
    <DisplayName>${markup(displayName)}</DisplayName>
    <Description xml:space="preserve">${markup(description)}</Description>
    <Categories>${categories.map(markup).join(",")}</Categories>
    <Properties>
      <Property Id="Microsoft.VisualStudio.Code.Engine" Value="${markup(engines.vscode)}"/>
    </Properties>
    <License>extension/LICENSE.txt</License>
  </Metadata>
  <Installation>
    <InstallationTarget Id="Microsoft.VisualStudio.Code"/>
  </Installation>
  <Dependencies/>
  <Assets>
${assets.map(([type, path]) => `    <Asset Type="${type}" Path="${path}" Addressable="true"/>`).join("\n")}
  </Assets>
</PackageManifest>
`;
}

const { outputFiles } = await build({
  entryPoints: [`${here}/client.ts`],
  bundle: true,
  minify: true,
  write: false,
  platform: "node",
  format: "cjs",
  target: "node20",
  external: ["vscode"],
  logLevel: "warning",
});

const own = JSON.parse(readFileSync(`${here}/package.json`, "utf8"));
const { version } = JSON.parse(readFileSync("package.json", "utf8"));
const shown = { ...own, version };
const files: Zippable = {
  "[Content_Types].xml": text(types),
  "extension.vsixmanifest": text(manifest(shown)),
  // The server stands in modules of the newer sort, the client in one of the older.
  "extension/package.json": text(`${JSON.stringify(shown, null, 2)}\n`),
  "extension/configuration.json": read(`${here}/configuration.json`),
  "extension/README.md": read(`${here}/README.md`),
  "extension/LICENSE.txt": read("LICENSE"),
  "extension/ramp.tmLanguage.json": read("grammar/ramp.tmLanguage.json"),
  "extension/client.cjs": outputFiles[0].contents,
};
for (const name of readdirSync("dist"))
  if (/^(rampwright|protocol|server|chunk-.*|[a-z]+-[A-Z0-9]{8})\.js$/.test(name))
    files[`extension/dist/${name}`] = read(`dist/${name}`);
for (const name of readdirSync("examples/blocks"))
  files[`extension/examples/blocks/${name}`] = read(`examples/blocks/${name}`);

mkdirSync("out", { recursive: true });
writeFileSync("out/rampwright-editor.vsix", zipSync(files, { mtime: "1980-01-01T00:00:00", level: 9 }));
