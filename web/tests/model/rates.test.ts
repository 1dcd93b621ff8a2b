import { describe, expect, it } from "vitest";
import {
  asKept,
  changed,
  csvOf,
  figure,
  given,
  grouped,
  preview,
  type Rate,
  type Row,
  typedOf,
  withChanges,
  withDate,
  withValue,
} from "../../src/model/rates";

const TODAY = "2026-05-04";
const rate = (id: string, more: Partial<Rate> = {}): Rate => ({
  id,
  group: "lines",
  title: id.toUpperCase(),
  usual: 25,
  unit: "lf",
  unit_title: "foot (lf)",
  source: "common practice",
  own: null,
  ...more,
});
const own = { value: 27.5, unit: "lf", date: "2026-01-31", note: '=bid, of "May"' };
const rates = [
  rate("lines.swale", { own, title: "Cuneta rápida" }),
  rate("lines.stone"),
  rate("profit", { group: "single", unit: "pct" }),
];
const row = (id: string, more: Partial<Row> = {}): Row => ({
  line: 2,
  id,
  title: id,
  value: 30,
  unit: "lf",
  was: 25,
  date: null,
  note: "",
  complaint: null,
  ...more,
});

describe("own rates that are typed", () => {
  it("are at first those that are kept", () => {
    const typed = asKept(rates);
    expect(typedOf(typed, "lines.swale")).toEqual({ value: "27.5", date: "2026-01-31", note: own.note });
    expect(typedOf(typed, "lines.stone").value).toBe("");
    expect(changed(rates, typed)).toBe(0);
    expect(given(typed)).toEqual({ "lines.swale": { value: "27.5", unit: "", date: "2026-01-31", note: own.note } });
  });

  it("count from today, unless a day stands there already", () => {
    const typed = withValue(withValue(asKept(rates), "lines.stone", "41,5", TODAY), "lines.swale", "28", TODAY);
    expect(typedOf(typed, "lines.stone")).toEqual({ value: "41,5", date: TODAY, note: "" });
    expect(typedOf(typed, "lines.swale").date).toBe("2026-01-31");
    expect(changed(rates, typed)).toBe(2);
    expect(typedOf(withDate(typed, "lines.stone", "2026-06-01"), "lines.stone").date).toBe("2026-06-01");
  });

  it("are the usual again once the field is empty", () => {
    const typed = withValue(asKept(rates), "lines.swale", "  ", TODAY);
    expect(changed(rates, typed)).toBe(1);
    expect(given(typed)).toEqual({});
    // A field that was never filled and is emptied is no change.
    expect(changed(rates, withValue(asKept(rates), "lines.stone", "", TODAY))).toBe(0);
  });
});

describe("the list of rates", () => {
  it("is found by a part of a title or an id, without accents", () => {
    const ids = (sought: string) => grouped(rates, sought).flatMap(({ rates }) => rates.map(({ id }) => id));
    expect(ids("")).toEqual(["lines.swale", "lines.stone", "profit"]);
    expect(ids("RAPIDA")).toEqual(["lines.swale"]);
    expect(ids("lines.st")).toEqual(["lines.stone"]);
    expect(ids("nothing")).toEqual([]);
  });

  it("shows a figure with no more digits than it has", () => {
    expect(figure(0.3, "en")).toBe("0.3");
    expect(figure(92_000, "en")).toBe("92,000");
    expect(figure(1.23456, "es")).toBe("1.2346");
  });
});

describe("a file of rates", () => {
  const rows = [
    row("lines.stone", { date: "2026-02-01", note: "bid" }),
    row("lines.swale", { value: 27.5, was: 27.5 }),
    row("lines.x", { value: null, was: null, complaint: "No." }),
  ];

  it("is parted into what changes, what is the same and what is wrong", () => {
    const found = preview(rows, rates);
    expect(found.changes.map(({ id }) => id)).toEqual(["lines.stone"]);
    expect(found.wrong.map(({ complaint }) => complaint)).toEqual(["No."]);
    expect(found.same).toBe(1);
  });

  it("makes the usual value our own, and tells of another day or note", () => {
    const changes = (more: Partial<Row>) =>
      preview([row("lines.swale", { value: 27.5, ...more })], rates).changes.length;
    expect(preview([row("lines.stone", { value: 25 })], rates).changes).toHaveLength(1);
    expect([{}, { date: own.date }, { note: own.note }].map(changes)).toEqual([0, 0, 0]);
    expect([{ date: TODAY }, { note: "bid of June" }, { value: 28 }].map(changes)).toEqual([1, 1, 1]);
    // A row without a note leaves the one that is there.
    const typed = withChanges(asKept(rates), preview([row("lines.swale", { value: 28 })], rates).changes, TODAY);
    expect(typedOf(typed, "lines.swale")).toEqual({ value: "28", date: TODAY, note: own.note });
  });

  it("changes no rate that it does not name", () => {
    const typed = withChanges(asKept(rates), preview(rows, rates).changes, TODAY);
    expect(given(typed)).toEqual({
      ...given(asKept(rates)),
      "lines.stone": { value: "30", unit: "", date: "2026-02-01", note: "bid" },
    });
    expect(typedOf(withChanges({}, [{ ...row("profit"), value: 9 }], TODAY), "profit").date).toBe(TODAY);
  });

  it("is written with every rate, and runs in no spreadsheet", () => {
    const lines = csvOf(rates, "en").split("\r\n");
    expect(lines[0]).toBe("\ufeffid,title,usual,unit,value,date,note");
    expect(lines[1]).toBe('lines.swale,Cuneta rápida,25,lf,27.5,2026-01-31,"\'=bid, of ""May"""');
    expect(lines[2]).toBe("lines.stone,LINES.STONE,25,lf,,,");
    expect(lines).toHaveLength(5);
    expect(csvOf([], "es")).toBe("\ufeffid,título,usual,unidad,valor,fecha,nota\r\n");
  });
});
