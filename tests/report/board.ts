// The picture that the tests look at: five lines beside three fields, a million samples of field ramp.
import type { PanelGroup } from "../../src/report/svg.js";
import { gate, ramp } from "./sample.js";

/** Two groups, each with its own time scale. */
export function board(samples = 1_000_000): PanelGroup[] {
  return [
    {
      title: "Line scale",
      from: 0,
      to: 320e-6,
      panels: [
        { title: "Gate", traces: [gate("line_gate", 64e-6, 4.7e-6, 5)] },
        {
          title: "Line sweep",
          traces: [ramp("line_ramp", 64e-6, 4.7e-6, 5, 20_000)],
          limits: [{ low: 3.88, high: 4.12, label: "fills the tube: 4 V ± 3 %" }],
        },
      ],
    },
    {
      title: "Field scale",
      from: 0,
      to: 60e-3,
      panels: [
        { title: "Gate", traces: [gate("field_gate", 20e-3, 160e-6, 3)] },
        {
          title: "Field sweep",
          traces: [ramp("field_ramp", 20e-3, 160e-6, 3, samples)],
          limits: [{ high: 4.2, label: "stays in the tube: below 4.2 V" }],
          marks: [{ at: 40e-3, label: "third field" }],
        },
      ],
    },
  ];
}
