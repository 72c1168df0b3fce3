// Whether two stamps of parts are the same to the bit: plain objects, lists and numbers are compared all the way down;
// anything else is the same only if identical.

/** Whether two values are alike all the way down. */
export function alikeThroughout(a: unknown, b: unknown): boolean {
  if (Object.is(a, b)) return true;
  if (typeof a !== "object" || typeof b !== "object" || a === null || b === null) return false;
  if (Object.getPrototypeOf(a) !== Object.getPrototypeOf(b)) return false;
  const plain = Array.isArray(a) || Object.getPrototypeOf(a) === Object.prototype;
  if (!plain) return false;
  const [one, other] = [a as Record<string, unknown>, b as Record<string, unknown>];
  const keys = Object.keys(one);
  return (
    keys.length === Object.keys(other).length &&
    keys.every((key) => key in other && alikeThroughout(one[key], other[key]))
  );
}
