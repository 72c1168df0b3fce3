// The markup of the page: what a design says stays text, and the policy allows what stands in it and nothing else.
import { createHash } from "node:crypto";
import { expect, test } from "vitest";
import { indexPage } from "../../src/live/indexpage.js";
import { lexicon } from "../../src/live/lexicon.js";
import { livePage } from "../../src/live/livepage.js";

const digest = (text: string) => createHash("sha256").update(text, "utf8").digest("base64");
const evil = "</script><script>alert(1)</script><!--<img src=x onerror=alert(1)>\"' \u2028 \u202e";
const assets = { page: "let page = 1;", engine: "let engine = 1;" };
const data = {
  title: evil,
  name: evil,
  text: `title "${evil}"`,
  brought: { texts: { [evil]: evil }, pictures: {}, captures: {} },
  lexicon: lexicon(),
};
const page = livePage(data, assets, true, digest);

test("a hostile design leaves the page's elements as they are", () => {
  expect(page.match(/<script\b/g)).toHaveLength(3);
  expect(page.match(/<\/script>/g)).toHaveLength(3);
  expect(page).not.toContain("<img");
  expect(page).not.toContain("<!--");
});

test("the data come back as they went in", () => {
  const [, json] = /<script type="application\/json" id="data">(.*?)<\/script>/s.exec(page)!;
  expect(JSON.parse(json)).toEqual(JSON.parse(JSON.stringify(data)));
});

test("the policy names what stands in the page by its digest (Content Security Policy 3, 2.3.1)", () => {
  const [, policy] = /Content-Security-Policy" content="([^"]*)"/.exec(page)!;
  const [, style] = /<style>(.*?)<\/style>/s.exec(page)!;
  expect(policy.split("; ")).toEqual([
    "default-src 'none'",
    `script-src 'sha256-${digest(assets.page)}'`,
    `style-src 'sha256-${digest(style)}'`,
    "worker-src blob:",
    "img-src blob: data:",
    "base-uri 'none'",
    "form-action 'none'",
  ]);
});

test("the cautions stand where there is a tube, and wait where there is none", () => {
  expect(page).toContain('id="caution" open');
  expect(livePage(data, assets, false, digest)).toContain('id="caution" hidden');
});

test("the index shows a hostile title as text", () => {
  const index = indexPage([{ file: "a b.html", title: evil, words: evil, pictures: [] }], digest);
  expect(index).not.toContain("<script");
  expect(index).not.toContain("<img");
  expect(index).toContain('href="a%20b.html"');
});
