// What the parser library asks of lodash-es, put by the build in that library's place: collections there are arrays, plain objects
// or absent, and what is applied to them is always a function. The library's own functions take anything, in 30 kB.

export const { assign } = Object;
export const { isArray } = Array;
export const keys = (of) => Object.keys(of ?? {});
export const values = (of) => Object.values(of ?? {});
export const has = (of, key) => of != null && Object.hasOwn(of, key);
export const isEmpty = (of) => (of?.length ?? keys(of).length) === 0;
export const isFunction = (one) => typeof one === "function";
export const isObject = (one) => one !== null && (typeof one === "object" || isFunction(one));
export const isRegExp = (one) => one instanceof RegExp;
export const isString = (one) => typeof one === "string";
export const isUndefined = (one) => one === undefined;
export const identity = (one) => one;
export const noop = () => {};
export const upperFirst = (text) => text.charAt(0).toUpperCase() + text.slice(1);

/** Ends where the function gives false. */
export function forEach(of, take) {
  if (isArray(of)) {
    for (let i = 0; i < of.length; i++) if (take(of[i], i, of) === false) break;
  } else for (const key of keys(of)) if (take(of[key], key, of) === false) break;
  return of;
}

export function reduce(of, add, from) {
  let sum = from;
  forEach(of, (one, key) => {
    sum = add(sum, one, key, of);
  });
  return sum;
}

export function find(of, is) {
  let found;
  forEach(of, (one, key) => {
    if (!is(one, key, of)) return true;
    found = one;
    return false;
  });
  return found;
}

export function map(of, take) {
  const out = [];
  forEach(of, (one, key) => {
    out.push(take(one, key, of));
  });
  return out;
}

export const every = (of, is) => {
  let all = true;
  forEach(of, (one, key) => {
    all = Boolean(is(one, key, of));
    return all;
  });
  return all;
};

export const some = (of, is) => !every(of, (one, key) => !is(one, key, of));
export const filter = (of, is) => values(of).filter(is);
export const reject = (of, is) => filter(of, (one, i) => !is(one, i));
export const includes = (of, one) => (isString(of) || isArray(of) ? of : values(of)).includes(one);
export const indexOf = (of, one) => (of ?? []).indexOf(one);
export const first = (of) => of?.[0];
export const last = (of) => of?.at(-1);
export const drop = (of, count = 1) => (of ?? []).slice(count);
export const dropRight = (of, count = 1) => (of ?? []).slice(0, Math.max(0, of.length - count));
export const compact = (of) => (of ?? []).filter(Boolean);
export const flatten = (of) => (of ?? []).flat();
export const flatMap = (of, take) => flatten(map(of, take));
export const uniq = (of) => [...new Set(of)];
export const difference = (of, without) => (of ?? []).filter((one) => !without.includes(one));
export const pickBy = (of, is) =>
  Object.fromEntries(Object.entries(of ?? {}).filter(([key, one]) => is(one, key)));

export function clone(one) {
  if (isArray(one)) return one.slice();
  return isObject(one) ? assign(Object.create(Object.getPrototypeOf(one)), one) : one;
}

export function defaults(of, more) {
  for (const key of keys(more)) if (of[key] === undefined) of[key] = more[key];
  return of;
}

export const groupBy = (of, keyOf) =>
  reduce(of, (groups, one) => assign(groups, { [keyOf(one)]: [...(groups[keyOf(one)] ?? []), one] }), {});
