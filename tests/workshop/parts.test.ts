// What to buy. Expected values: Ohm's law and P = U²/R on a divider, series of IEC 60063 written out beside the check, sums by
// hand.

import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { ownTable } from "../../src/command/tablefile.js";
import { compile, DesignError, joints, partsList, readStock, simulate, stress } from "../../src/index.js";
import { csvRows } from "../../src/workshop/csvrows.js";
import { file, folder, rampwright } from "../command/running.js";

const text = `title "Nest box, a divider"
supply plus12 = 12 V
resistor upper plus12 -> middle 1 kohm +- 1 %
resistor lower middle -> ground 1 kohm +- 1 %
resistor odd   plus12 -> ground 1.03 kohm +- 5 %
capacitor calm middle -> ground 17 nF +- 10 %
run for 1 ms
check "half" value of middle at 0.9 ms is 6 V +- 1 %
case "high" plus12 is 15 V
check "half of more" value of middle at 0.9 ms is 7.5 V +- 1 %
`;
const design = compile(text, { name: "divider.ramp" });
const stresses = [design, ...design.cases].map((one) => stress(simulate(one)));
const stock = `kind;value;tolerance;voltage;power;price EUR;stock;order
resistor;1 kohm;1 %;;0,05 W;0,01;1000;weak
resistor;1 kohm;5 %;;0,25 W;0,02;1000;loose
resistor;1 kohm;1 %;;0,25 W;0,05;19;few
resistor;1 kohm;1 %;;0,25 W;0,10;25;"R;1k"
capacitor;18 nF;10 %;63 V;;0,20;5;C18
`;

test("parts that are bought alike stand in one row, rails in none", () => {
  const { rows } = partsList(design, { boards: 3 });
  expect(rows.map(({ kind, parts, each, count }) => ({ kind, parts, each, count }))).toEqual([
    { kind: "resistor", parts: ["upper", "lower"], each: 2, count: 6 },
    { kind: "resistor", parts: ["odd"], each: 1, count: 3 },
    { kind: "capacitor", parts: ["calm"], each: 1, count: 3 },
  ]);
});

test("the preferred value is that of the series made for the tolerance (IEC 60063)", () => {
  const [same, odd, calm] = partsList(design).rows.map((row) => row.preferred!);
  // ±1 %: E96, in which 1.00 stands. ±5 %: E24, 1.0 and 1.1 around 1.03. ±10 %: E12, 1.5 and 1.8 around 1.7.
  expect(same).toEqual({ value: 1000, series: "E96", off: 0 });
  expect(odd).toMatchObject({ value: 1000, series: "E24" });
  expect(odd.off).toBeCloseTo(1000 / 1030 - 1, 12);
  expect(calm).toMatchObject({ value: 18e-9, series: "E12" });
  expect(partsList(design, { series: "E48" }).rows[1].preferred?.value).toBe(1050);
});

test("what is needed is the most of all cases over the derating", () => {
  const { rows } = partsList(design, { stresses, derating: { voltage: 0.8 } });
  // 15 V in the case: 7.5 V over each of the two, 7.5² / 1000 W; half of a rating's power may be used, 80 % of its voltage.
  const { voltage, power, current } = rows[0].needs!;
  expect(voltage).toMatchObject({ case: "high" });
  expect(voltage.rating).toBeCloseTo(7.5 / 0.8, 9);
  expect(power!.rating).toBeCloseTo(0.05625 / 0.5, 9);
  expect(current.rating).toBeCloseTo(7.5e-3, 9);
  expect(rows[1].needs!.power!.asked).toBeCloseTo(15 ** 2 / 1030, 9);
  // 9.4 V, 113 mW and 7.5 mA, in what shops have (common practice, no source): 10 V, 125 mW, 100 mA.
  expect([voltage.shop, power!.shop, current.shop]).toEqual([10, 0.125, 0.1]);
});

test("what no shop has is said as it is needed", () => {
  const high = compile(`supply plus = 3 kV
resistor bleed plus -> ground 1 Mohm
capacitor idle out -> ground 1 nF
resistor shut out -> ground 1 kohm
run for 1 ms
check "there" value of plus at 0.9 ms above 0 V`);
  const [bleed, idle] = partsList(high, { stresses: [stress(simulate(high))] }).rows;
  expect(bleed.needs!.voltage).toMatchObject({ rating: 6000, shop: undefined });
  // 9 W over half of what may be used: 18 W, sold as 25 W.
  expect(bleed.needs!.power).toMatchObject({ shop: 25 });
  expect(idle.needs!.voltage).toMatchObject({ asked: 0, shop: undefined });
});

test("what gives back the power that it takes up is rated for none", () => {
  const charged = compile(`supply plus = 12 V
resistor through plus -> held 1 kohm
capacitor hold held -> ground 100 uF, starts 0 V
inductor choke held -> out 1 mH
resistor load out -> ground 1 kohm
run for 100 ms
check "there" value of held at 90 ms above 0 V`);
  const { rows } = partsList(charged, { stresses: [stress(simulate(charged))] });
  const needed = Object.fromEntries(rows.map(({ kind, needs }) => [kind, Object.keys(needs!)]));
  // A capacitor and a coil dissipate nothing: v · dq/dt and i · dΦ/dt are changes of what they hold.
  expect(needed.capacitor).toEqual(["voltage", "current"]);
  expect(needed.inductor).toEqual(["voltage", "current"]);
  expect(needed.resistor).toEqual(["voltage", "power", "current"]);
});

test("a source is not bought, unless it is offered", () => {
  const fed = compile(`supply plus = 12 V
current feed plus -> ramp 1 mA, headroom 1 V
voltage hum out -> ramp 10 mV
resistor load out -> ground 1 kohm
run for 1 ms
check "there" value of out at 0.9 ms above 0 V`);
  const bought = (content?: string) =>
    partsList(fed, { stock: content ? readStock(content) : undefined }).rows.map((r) => [r.kind, r.bought]);
  expect(bought()).toEqual([
    ["current", false],
    ["voltage", false],
    ["resistor", true],
  ]);
  expect(bought("kind,value,order\ncurrent,1 mA,a source in a can\n")[0]).toEqual(["current", true]);
});

test("of what lies in the drawer, what fits, is enough and is cheap is taken", () => {
  const list = partsList(design, { boards: 10, stresses, stock: readStock(stock) });
  // The first is too weak for 112.5 mW, the second too loose, of the third 19 are there for 20.
  expect(list.rows[0]).toMatchObject({ offer: { order: "R;1k" }, cost: 2, missing: 0 });
  expect(list.rows[1].offer).toBeUndefined();
  expect(list.rows[2]).toMatchObject({ offer: { order: "C18" }, cost: 2, missing: 5 });
  expect(list).toMatchObject({ cost: 4, currency: "EUR", unpriced: 1 });
});

test("a cell of a list is text in a spreadsheet, whatever it begins with", () => {
  const row = ['=HYPERLINK("http://x")', "@sum(a1)", "+1+1", "R;=1", "R1", -5];
  expect(csvRows([row])).toBe(`"'=HYPERLINK(""http://x"")","'@sum(a1)","'+1+1","R;'=1",R1,-5\r\n`);
});

test("what one row takes of a stock, another does not find there", () => {
  const four = compile(
    "supply p = 5 V\nresistor a p -> x 10 kohm +- 1 %\nresistor b x -> ground 10 kohm +- 1 %\n" +
      "resistor c p -> y 10 kohm +- 5 %\nresistor d y -> ground 10 kohm +- 5 %\n",
  );
  const shop = (rows: string) =>
    partsList(four, { stock: readStock(`kind,value,tolerance,price,stock\n${rows}`) }).rows.map((r) => [
      r.offer?.row,
      r.missing,
    ]);
  // Two and two of three: one is missing. The loose ones may take others, and the close ones may not.
  expect(shop("resistor,10 kohm,1 %,0.01,3\n")).toEqual([
    [2, 0],
    [2, 1],
  ]);
  expect(shop("resistor,10 kohm,1 %,0.01,3\nresistor,10 kohm,5 %,0.02,9\n")).toEqual([
    [2, 0],
    [3, 0],
  ]);
});

test("mistakes of a stock file are told by row and column", () => {
  const told = (content: string) => {
    try {
      readStock(content);
    } catch (error) {
      if (error instanceof DesignError)
        return error.diagnostics.map(({ code, span }) => `${code} ${span.line}:${span.column}`);
      throw error;
    }
    return [];
  };
  expect(told("")).toEqual(["missing-column 1:1"]);
  expect(told("\n\n")).toEqual(["missing-column 1:1"]);
  // A hundred thousand rows, and one more.
  expect(told(`kind,price\n${"resistor,1\n".repeat(100_001)}`)).toEqual(["too-many-rows 100002:1"]);
  expect(told(`kind,price\n${"resistor,1\n".repeat(100_000)}`)).toEqual([]);
  expect(told("value,price\n1 kohm,1")).toEqual(["missing-column 1:1"]);
  expect(told("kind,cost\nresistor,1")).toEqual(["unknown-column 1:6"]);
  expect(told("kind,kind\nresistor,resistor")).toEqual(["unknown-column 1:6"]);
  expect(
    told("kind,value,stock,price\nresistr,1 kohm,1,1\nresistor,1 nF,1.5,x\nresistor,-1 ohm,-1,1e999"),
  ).toEqual([
    "unknown-kind 2:1",
    "no-number 3:10",
    "no-number 3:15",
    "no-number 3:19",
    "no-number 4:10",
    "no-number 4:17",
    "no-number 4:20",
  ]);
  // A price of 0,08 between commas would be a price of 0 and a stock of 8.
  expect(told("kind,price,stock\nresistor,0,08,120\nresistor,1,2,,\n")).toEqual(["extra-cell 2:15"]);
  // 5 without its % is 500 %.
  expect(told("kind,tolerance\nresistor,5\nresistor,5 %\nresistor,0.05\n")).toEqual(["no-number 2:10"]);
  // What a spreadsheet writes above its table, and below it.
  expect(told('sep=;\nkind;price\nresistor;1,5\n;;\n;""\n')).toEqual([]);
  // A thousand, or one: a count has no point.
  expect(told("kind;stock\nresistor;1.000\nresistor;1,000\nresistor;1000")).toEqual([
    "no-number 2:10",
    "no-number 3:10",
  ]);
});

test.each<[string, (text: string) => Uint8Array]>([
  ["UTF-8", (text) => Buffer.from(text)],
  ["UTF-16 with its mark", (text) => Buffer.from(`\uFEFF${text}`, "utf16le")],
  ["Windows-1252", (text) => Buffer.from(text, "latin1")],
])("a table as a spreadsheet saves it: %s", (_, encoded) => {
  const list = join(folder(), "encoded.csv");
  writeFileSync(list, encoded("kind;value;price EUR\ncapacitor;4,7 \u00b5F;0,08\n"));
  expect(ownTable(list, readStock).items).toMatchObject([{ value: 4.7e-6, price: 0.08 }]);
});

test("what is asked for without sense is refused", () => {
  for (const options of [
    { boards: 0 },
    { boards: 1.5 },
    { derating: { power: 0 } },
    { derating: { voltage: 2 } },
  ])
    expect(() => partsList(design, options)).toThrow(DesignError);
  expect(() => partsList(design, { series: "E7" as "E6" })).toThrow(DesignError);
});

test("every end of every part is joined once", () => {
  const list = joints(
    compile(`supply plus5 = 5 V
signal gate = line sync of 625/50, 0 V to 5 V
potentiometer trim plus5 -> ground 10 kohm, tap mid, at 50 %
switch cut mid -> ground closed while gate above 2.5 V
resistor load mid -> ground 1 kohm
run for 1 ms`),
  );
  const at = (place: string) =>
    list.find((one) => one.place === place)?.ends.map((e) => `${e.part} ${e.end}`);
  expect(at("mid")).toEqual(["trim tap", "cut tail", "load tail"]);
  expect(at("gate")).toContain("cut control");
  expect(list.flatMap(({ ends }) => ends).filter((e) => e.part === "trim")).toHaveLength(3);
});

test("the command lists, writes and ends with its status", () => {
  const path = file(text, "divider.ramp");
  const drawer = join(folder(), "drawer.csv");
  writeFileSync(drawer, stock);
  const out = join(folder(), "list.csv");
  const done = rampwright(["parts", path, "--boards", "10", "--stock", drawer, "--out", out]);
  expect(done.status).toBe(1);
  expect(done.out).toContain("4.00 EUR in all, without 1 that have no price.");
  const [head, first] = readFileSync(out, "utf8").split("\r\n");
  expect(head.split(",")).toHaveLength(18);
  expect(first).toContain("upper lower");
  const json = JSON.parse(rampwright(["parts", path, "--unrun", "--json"]).out);
  expect(json.rows[0].parts).toEqual(["upper", "lower"]);
  expect(json.joints[0].place).toBe("ground");
  expect(rampwright(["parts", path, "--unrun", "--joints"]).out).toContain(
    "upper (head), lower (tail), calm (tail)",
  );
  writeFileSync(drawer, "kind,prise\n");
  const wrong = rampwright(["parts", path, "--unrun", "--stock", drawer]);
  expect(wrong).toMatchObject({ status: 2, out: "" });
  expect(wrong.err).toContain("did you mean 'price'?");
  expect(rampwright(["parts", path, "--unrun", "--stock", join(folder(), "none.csv")])).toMatchObject({
    status: 2,
  });
});

test("a case whose run stops before it begins takes the ratings of the others from no part", () => {
  const stuck = `${text.replace("run for 1 ms", "run for 1 ms, from settled")}
case "stuck" turn is path 0 V at 0 s, 1 V at 1 ms
signal turn = path 0 V at 0 s
resistor keeps turn -> slow 1 kohm
capacitor slowly slow -> ground 1 uF
`;
  const { status, out, err } = rampwright(["parts", file(stuck, "divider.ramp")]);
  expect([status, err]).toEqual([
    3,
    expect.stringMatching(/"stuck": stopped at 0 s: .*'turn' does not repeat/),
  ]);
  // 15 V over the odd one: P = U²/R is 0.22 W, and half of a rating may be used.
  expect(out).toMatch(/resistor +1\.03 kΩ .* 500 mW .* odd/);
});
