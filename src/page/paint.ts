// The colours of a plot, from the page's style, for light and dark.
/// <reference lib="dom" />

/** Colours as CSS has them. */
export interface Paint {
  readonly grid: string;
  readonly axis: string;
  readonly zone: string;
  readonly edge: string;
  readonly volt: string;
  readonly ampere: string;
  readonly watt: string;
}

/** The colours of the page's style as it is now. */
export function paintOf(host: Element): Paint {
  const style = getComputedStyle(host);
  const of = (name: string) => style.getPropertyValue(`--plot-${name}`).trim();
  return {
    grid: of("grid"),
    axis: of("axis"),
    zone: of("zone"),
    edge: of("edge"),
    volt: of("volt"),
    ampere: of("ampere"),
    watt: of("watt"),
  };
}

export function inkOf(paint: Paint, unit: string): string {
  return unit === "A" ? paint.ampere : unit === "W" ? paint.watt : paint.volt;
}
