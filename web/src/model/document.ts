/**
 * The document of a walk as plain values, shape 1 (docs/explanation/walk-document.md). What a person typed stands here as
 * text with its unit; it is read once, at the office.
 */

export const SHAPE = 1;

/** Roots that hold one flat map; every other root holds flat maps by UUID. */
export const FLAT_ROOTS = ["walk", "answers"] as const;
export const ITEM_ROOTS = ["pads", "courts", "marks", "tallies", "shots", "photos", "files"] as const;

export type FlatRoot = (typeof FLAT_ROOTS)[number];
export type ItemRoot = (typeof ITEM_ROOTS)[number];
export type Root = FlatRoot | ItemRoot;

/** Text as typed, number, yes or no, or one JSON value (a geometry, an outline); null says nothing. */
export type Value = string | number | boolean | null | readonly Value[] | { readonly [key: string]: Value };
export type Fields = Readonly<Record<string, Value>>;

type Coordinate = number | string;
export type Place = readonly [Coordinate, Coordinate];

export type Geometry =
  | { readonly type: "Point"; readonly coordinates: Place }
  | { readonly type: "LineString"; readonly coordinates: readonly Place[] }
  | { readonly type: "Polygon"; readonly coordinates: readonly (readonly Place[])[] };

/** One item of an item root. `withdrawn` ones are taken away and can come back. */
type Item = Fields & { readonly withdrawn?: boolean; readonly order?: number };

export type Pad = Item & { readonly id?: string; readonly outline?: readonly Place[]; readonly shots?: string };
export type Court = Item & {
  readonly pad?: string;
  readonly id?: string;
  readonly sport?: string;
  readonly centre?: Place;
  readonly turned_deg?: Coordinate;
};
export type Mark = Item & { readonly mark?: string; readonly pad?: string; readonly geometry?: Geometry };
export type Tally = Item & {
  readonly pad?: string;
  readonly court?: string;
  readonly mark?: string;
  readonly length?: string;
  readonly count?: Coordinate;
  readonly area?: string;
};
export type Shot = Item & {
  readonly pad?: string;
  readonly point?: string;
  readonly x?: Coordinate;
  readonly y?: Coordinate;
  readonly elevation?: Coordinate;
  readonly description?: string;
};
export type Photo = Item & {
  readonly sha256?: string;
  readonly name?: string;
  readonly of?: string;
  readonly from?: Place;
  readonly note?: string;
};

export interface Items {
  pads: Pad;
  courts: Court;
  marks: Mark;
  tallies: Tally;
  shots: Shot;
  photos: Photo;
  files: Item;
}

/** The key of an answer: for the whole site, or for one pad. */
export function answerKey(fact: string, pad?: string): string {
  return pad === undefined ? fact : `${pad}/${fact}`;
}

/** What stands for "asked, and not known". */
export const UNKNOWN = "unknown";

/** Whether a value says anything. */
export function says(value: Value | undefined): value is Exclude<Value, null> {
  return value !== undefined && value !== null && value !== "";
}
