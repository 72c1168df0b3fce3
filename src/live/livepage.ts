// The markup of the page that computes. It stands alone: its scripts and styles are inline, the policy allows only these by their
// digests, and whatever a design says stays text.
import { cautions, standing } from "../report/cautions.js";
import { embedded, pageHead, safe } from "../report/markup.js";
import { stackStyle } from "../report/movingstyle.js";
import type { LiveAssets } from "./assets.js";
import type { Lexicon } from "./lexicon.js";
import { liveStyle } from "./livestyle.js";
import type { PackedBrought } from "./messages.js";

/** The data of the page; it is stored in it as JSON. */
export interface LiveData {
  readonly title: string;
  /** Name of the text in messages. */
  readonly name: string;
  readonly text: string;
  readonly brought: PackedBrought;
  readonly lexicon: Lexicon;
}

/** The page. @param digest the SHA-256 of a text, in base 64 */
export function livePage(
  data: LiveData,
  assets: Pick<LiveAssets, "page" | "engine">,
  tube: boolean,
  digest: (text: string) => string,
): string {
  const style = `${stackStyle}\n${liveStyle}`;
  const policy = [
    "default-src 'none'",
    `script-src 'sha256-${digest(assets.page)}'`,
    `style-src 'sha256-${digest(style)}'`,
    "worker-src blob:",
    "img-src blob: data:",
    "base-uri 'none'",
    "form-action 'none'",
  ].join("; ");
  return [
    pageHead(data.title, style, policy),
    body(data, tube),
    `<script type="application/json" id="data">${embedded(JSON.stringify(data))}</script>`,
    `<script type="text/plain" id="engine">${assets.engine}</script>`,
    `<script>${assets.page}</script>`,
    "</body>",
    "</html>",
    "",
  ].join("\n");
}

function body({ title, text }: LiveData, tube: boolean): string {
  return `<a class="skip" href="#waves">To the waveforms</a>
<header>
<h1 id="title">${safe(title)}</h1>
<noscript><p class="refused">This page computes in the browser, and scripts are switched off. The design:</p><pre>${safe(text).replaceAll("\n", "&#10;")}</pre></noscript>
</header>
<main>
<p id="verdict" role="status">Not computed yet.</p>
<div id="cases" class="row" role="group" aria-label="Cases"></div>
${caution(tube)}<div class="desk">
<div class="left">
<section class="card values" aria-labelledby="knobs-head">
<h2 id="knobs-head">Values</h2>
<div id="knobs" class="knobs"></div>
<details id="inside-all"><summary>Values inside blocks</summary><div id="inside" class="knobs"></div></details>
<p class="row"><button type="button" id="reset">All back to the text</button><button type="button" id="link">Copy a link</button></p>
<p id="told" role="status"></p>
<ul id="refused" class="plain refused" role="alert"></ul>
</section>
<section class="card tube" id="tube" aria-labelledby="tube-head" hidden>
<h2 id="tube-head">Picture</h2>
<div id="screens" class="screens"></div>
<p class="row"><button type="button" id="screen-png">Picture as PNG</button></p>
</section>
<section class="card text" aria-labelledby="text-head">
<h2 id="text-head">Text</h2>
<div id="editor"></div>
<pre id="paper"></pre>
<ul id="problems" class="plain" aria-label="What is wrong with the text"></ul>
<p class="row"><button type="button" id="save">Save the text</button></p>
</section>
</div>
<div class="right">
<section class="card waves" id="waves" aria-labelledby="waves-head" tabindex="-1">
<h2 id="waves-head">Waveforms</h2>
<div id="scales" class="row" role="group" aria-label="Time scale"></div>
<div id="plots"></div>
<p class="row"><button type="button" id="svg">Waveforms as SVG</button><button type="button" id="png">Waveforms as PNG</button><button type="button" id="csv">Samples as CSV</button></p>
</section>
<section class="card verdicts" aria-labelledby="checks-head">
<h2 id="checks-head">Verdicts</h2>
<div class="wide" role="region" aria-label="Table of checks" tabindex="0"><table id="checks"><thead><tr><th scope="col">check</th><th scope="col" class="n">measured</th><th scope="col">limit</th><th scope="col" class="n">margin</th><th scope="col">verdict</th><th scope="col">where</th></tr></thead><tbody id="rows"></tbody></table></div>
<ul id="doubts" class="plain" aria-label="Doubts about this run"></ul>
</section>
</div>
</div>
</main>
<footer><p id="pace"></p><p>Made by Rampwright. It computes here, in this page; nothing is sent anywhere.</p></footer>`;
}

function caution(tube: boolean): string {
  const items = cautions.map((one) => `<li>${safe(one)}</li>`).join("");
  return (
    `<details class="caution" id="caution"${tube ? " open" : " hidden"}><summary>Before this meets a picture tube</summary>` +
    `<ul>${items}</ul><p>${safe(standing)}</p></details>\n`
  );
}
