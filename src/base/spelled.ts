// Units written out, `millivolts` or `usec`. In a design their symbols are the only spelling, so that it reads the same whoever wrote
// it, and a word is told its symbol; tables of instruments have both.

const prefixes: Readonly<Record<string, string>> = {
  pico: "p",
  nano: "n",
  micro: "u",
  milli: "m",
  kilo: "k",
  mega: "M",
  giga: "G",
};
const names: Readonly<Record<string, string>> = {
  volt: "V",
  amp: "A",
  ampere: "A",
  sec: "s",
  second: "s",
  hertz: "Hz",
  ohm: "ohm",
  farad: "F",
  henry: "H",
  watt: "W",
  joule: "J",
};
const others = new Map([
  ["percent", "%"],
  ["kelvin", "K"],
  ["degree", "deg"],
  ["meg", "Mohm"],
  ["megohm", "Mohm"],
  ["kohm", "kohm"],
  ["kilohm", "kohm"],
  ["usec", "us"],
  ["msec", "ms"],
  ["nsec", "ns"],
  ["mfd", "uF"],
]);
const whole = new RegExp(`^(${Object.keys(prefixes).join("|")})?(${Object.keys(names).join("|")})$`);

/** The symbol of a unit that is written out, one or several, in capitals or not; undefined for any other word. */
export function symbolOf(word: string): string | undefined {
  const one = word.toLowerCase().replace(/s$/, "");
  const [, prefix, name] = whole.exec(one) ?? [];
  return name ? (prefixes[prefix] ?? "") + names[name] : others.get(one);
}
