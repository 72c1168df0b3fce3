// What is asked for a thousand times along one leap costs as often as it is asked for, not as often as the leap has corners.
import { describe, expect, it, vi } from "vitest";
import { compile, measure, simulate } from "../../src/index.js";
import { Player } from "../../src/signals/player.js";

// No state moves the place: the whole run is one leap, with every corner of the video in it.
const camera = "signal camera = video of 625/50, bars";

describe("each pulse of a camera is measured", () => {
  const asked = (phrase: string, until: string) => {
    const run = simulate(compile(camera), { until });
    const next = vi.spyOn(Player.prototype, "next");
    const { periods } = measure(run, `${phrase} each camera.pulses`);
    const calls = next.mock.calls.length;
    next.mockRestore();
    return { calls, periods: periods?.length ?? 0 };
  };

  it.each([
    "pulses of camera falling through -0.2 V",
    "crossing of camera rising through 0.2 V",
    "value of camera at 3 us",
    "slope of camera from 2 us to 3 us",
    "sag of camera from 2 us to 3 us",
    "mean of camera",
  ])("%s: four times the time, four times the corners looked up", (phrase) => {
    const brief = asked(phrase, "5 ms");
    const long = asked(phrase, "20 ms");
    // 64 us a line (ITU-R BT.1700); two half lines in 7.5 lines each field.
    expect(brief.periods).toBeGreaterThan(75);
    expect(long.periods).toBeGreaterThan(3.5 * brief.periods);
    expect(brief.calls).toBeGreaterThan(0);
    expect(long.calls).toBeLessThan(6 * brief.calls);
  });
});
