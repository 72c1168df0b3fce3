// Plain data as JSON text that reads back the same to the last bit. JSON has no way to write non-finite numbers, minus zero,
// maps and bytes, so each of these is written as an object with the single key `$`.

/** Typed arrays that may occur in the data. */
const arrays = { Float64Array, Float32Array, Uint8Array, Uint8ClampedArray, Uint16Array, Int32Array };

type Marked = { readonly $: keyof typeof arrays | "number" | "map" | "nothing"; readonly of?: unknown };

export function exactText(data: object): string {
  return JSON.stringify(written(data));
}

/** Data from such text. @throws SyntaxError if it is not one */
export function exactData(text: string): unknown {
  return read(JSON.parse(text));
}

function written(value: unknown): unknown {
  if (value === undefined) return { $: "nothing" } satisfies Marked;
  if (typeof value === "number")
    return Number.isFinite(value) && !Object.is(value, -0)
      ? value
      : ({ $: "number", of: Object.is(value, -0) ? "-0" : String(value) } satisfies Marked);
  if (typeof value !== "object" || value === null) return value;
  if (value instanceof Map)
    return { $: "map", of: [...value].map((pair) => pair.map(written)) } satisfies Marked;
  if (ArrayBuffer.isView(value)) {
    const bytes = Buffer.from(value.buffer, value.byteOffset, value.byteLength);
    const sort = value.constructor.name as keyof typeof arrays;
    return { $: sort, of: bytes.toString("base64") } satisfies Marked;
  }
  if (Array.isArray(value)) return value.map(written);
  const kept = Object.entries(value).filter(([, one]) => one !== undefined);
  return Object.fromEntries(kept.map(([name, one]) => [name, written(one)]));
}

function read(value: unknown): unknown {
  if (typeof value !== "object" || value === null) return value;
  if (Array.isArray(value)) return value.map(read);
  if (!("$" in value)) return Object.fromEntries(Object.entries(value).map(([k, one]) => [k, read(one)]));
  const { $: sort, of } = value as Marked;
  if (sort === "nothing") return undefined;
  if (sort === "number") return Number(of);
  if (sort === "map") return new Map((of as [unknown, unknown][]).map(([k, one]) => [read(k), read(one)]));
  // A copy, so that doubles are aligned.
  const bytes = new Uint8Array(Buffer.from(String(of), "base64"));
  return new arrays[sort](bytes.buffer);
}
