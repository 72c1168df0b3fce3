import type { Group } from "../../src/report/picture.js";
/** Two groups, each with its own time scale. */
export declare function board(samples?: number): Group[];
