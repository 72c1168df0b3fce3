// The scripts of pages, as texts. Empty in the sources, since only the build can make a page: it puts in what it has bundled,
// each with all that it needs:
// - the script of the page that computes, with the editor and the plots;
// - its engine with the whole core, which the page starts in its own workers;
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

/** Filled in by the build. */
export const assets: LiveAssets = { page: "", engine: "", report: "" };
