// What the rows need of the sources, as one module that the runner bundles before it starts: the library's entries, and
// those parts of the pictures that the library keeps to itself.
export * from "../src/benchwork.js";
export * from "../src/index.js";
export { countedPlaces, panelGroups } from "../src/report/selection.js";
export { tracePicture } from "../src/report/svg.js";
export * from "../src/schematic/reporting.js";
export * from "../src/studies.js";
