// The scripts and the style of the page, as texts. They are empty here; the build puts in what it has bundled: the script of the page,
// the engine, and the style of the plotting library. So the page is to be had from the build alone.

/** What the page consists of besides its own markup. */
export interface LiveAssets {
  /** Script of the page. */
  readonly page: string;
  /** Script of the engine. */
  readonly engine: string;
  /** Style of the plotting library. */
  readonly style: string;
}

/** As the build has made them. */
export const assets: LiveAssets = { page: "", engine: "", style: "" };
