// The scripts of pages, as texts. They are empty here: a page is to be had from the build alone, which puts in what it has bundled,
// each with all that it needs:
// - the script of the page that computes, with the editor and the plots;
// - its engine, with the whole core, which the page starts in workers of its own;
// - the script of the report.

/** What the pages consist of besides their own markup. */
export interface LiveAssets {
  /** Script of the page. */
  readonly page: string;
  /** Script of the engine. */
  readonly engine: string;
  /** Script of the report. */
  readonly report: string;
}

/** As the build has made them. */
export const assets: LiveAssets = { page: "", engine: "", report: "" };
