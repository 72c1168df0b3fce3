// What the rows need of the sources, as one module that the runner bundles before it starts: the library's entry, and
// those parts of the pictures that the library keeps to itself.
export * from "../src/index.js";
export { countedPlaces, panelGroups } from "../src/report/selection.js";
export { tracePicture } from "../src/report/svg.js";
