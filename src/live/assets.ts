// The scripts of the page that computes, as texts. They are empty here: a page is to be had from the build alone, which puts in
// what it has bundled, each with all that it needs:
// - the script of the page, with the editor and the plots;
// - the engine, with the whole core, which the page starts in workers of its own.

/** What the page consists of besides its own markup. */
export interface LiveAssets {
  /** Script of the page. */
  readonly page: string;
  /** Script of the engine. */
  readonly engine: string;
}

/** As the build has made them. */
export const assets: LiveAssets = { page: "", engine: "" };
