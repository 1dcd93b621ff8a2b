/**
 * What a sheet shows: one pad and what lies on and beside it, in metres of the pad's own frame. Plain values, made by
 * `from_walk.ts` from a walk, and by screens from answers of the office.
 *
 * What has not changed keeps its identity (`===`): the sheet draws again only what is another object than before.
 */
import type { Fields } from "../model/document";
import type { GeometryM, PointM } from "../model/frame";
import type { Raster } from "../model/raster";

export interface PlanContent {
  readonly pad: PlanPad | null;
  readonly courts: readonly PlanCourt[];
  /** By UUID; the order is the drawing order. */
  readonly marks: ReadonlyMap<string, PlanMark>;
  readonly stations?: readonly Station[];
  readonly shots?: readonly PlanShot[];
  readonly lowSpots?: readonly PlanLowSpot[];
  readonly pieces?: readonly PlanPiece[];
  readonly slopes?: readonly PlanSlope[];
  readonly straightedge?: PlanStraightedge;
  /** Lines of equal height, over the lowest place. */
  readonly heights?: readonly PlanLine[];
  /** A new surface over the ground. */
  readonly surface?: PlanSurface;
  /** Where leaders of margin notes end. */
  readonly notes?: readonly PlanNote[];
  /** Arcs and points of tapes while something is put in by two tapes, or a walking order. */
  readonly construction?: readonly Construction[];
}

export interface PlanPad {
  readonly id: string;
  readonly label: string;
  readonly outline_m: readonly PointM[];
  /** Bearing of the pad's y axis, clockwise from north. */
  readonly north_deg?: number;
}

export interface PlanCourt {
  readonly id: string;
  readonly label: string;
  readonly sport: string;
  readonly centre_m: PointM;
  readonly turned_deg: number;
}

export interface PlanMark {
  readonly id: string;
  /** The word of `mark`: an id of data/marks.json. */
  readonly kind: string;
  readonly geometry: GeometryM;
  /** As typed. */
  readonly properties: Fields;
  /** Properties that are lengths, read: `width`, `height`, `radius`, … in metres. */
  readonly sizes_m: Readonly<Record<string, number>>;
  /** Found on a photo and not yet accepted: drawn broken. */
  readonly isProposal?: boolean;
  /** How sure a proposal is, 0 to 1: the less, the shorter the dashes. */
  readonly sureness?: number;
}

/** Where a photo was taken from. */
export interface Station {
  readonly id: string;
  readonly letter: string;
  readonly at_m: PointM;
  /** In the pad frame, clockwise from its y axis. Missing when nobody knows where it looks. */
  readonly bearing_deg?: number;
  /** How wide it sees; 60 where it is not known. */
  readonly angle_deg?: number;
}

/**
 * A rod shot; `text` is what stands beside it: a point's number, or its reading. `isNext` is where to go now,
 * `isProposed` where the office would go.
 */
export interface PlanShot {
  readonly id: string;
  readonly at_m: PointM;
  readonly text?: string;
  readonly isTaken?: boolean;
  readonly isNext?: boolean;
  readonly isProposed?: boolean;
}

export interface PlanLowSpot {
  readonly id: string;
  readonly outline_m: readonly PointM[];
  readonly depth_mm?: number;
  readonly deepest_m?: PointM;
  /** 0 to 1; missing when nobody reckoned it. */
  readonly likelihood?: number;
  readonly contours?: readonly { readonly depth_mm: number; readonly lines_m: readonly (readonly PointM[])[] }[];
}

export interface PlanPiece {
  readonly id: string;
  readonly outline_m: readonly PointM[];
  readonly free: boolean;
  readonly area_m2: number;
}

/** The plane of a court: which way water runs off it. */
export interface PlanSlope {
  readonly id: string;
  readonly at_m: PointM;
  /** Downhill, in the pad frame, clockwise from its y axis. */
  readonly bearing_deg: number;
  readonly slope_pct: number;
}

/** The straightedge at the place of the widest gap under it. */
interface PlanStraightedge {
  readonly at_m: PointM;
  readonly bearing_deg: number;
  readonly length_m: number;
  readonly gap_mm: number;
}

/** A line of one value: over what, the layer that it belongs to says. */
export interface PlanLine {
  readonly value_m: number;
  readonly lines_m: readonly (readonly PointM[])[];
}

/** What is laid over a pad and what is taken off it, node by node; off the pad nothing. */
export interface PlanSurface {
  readonly raster: Raster;
  /** How far it lies over the old one; below nought, under it [m]. */
  readonly over_m: Float64Array;
  /** Where it turns from the one to the other. */
  readonly zero_m: readonly (readonly PointM[])[];
  /** The edge of what is milled first. */
  readonly milled_m: readonly (readonly PointM[])[];
  readonly thickness: readonly PlanLine[];
  readonly thickest: { readonly at_m: PointM; readonly thickness_m: number };
  /** Where most is milled; missing where nothing is. */
  readonly deepest?: { readonly at_m: PointM; readonly depth_m: number };
}

interface PlanNote {
  readonly id: string;
  readonly at_m: PointM;
  /** A letter or number that stands at the place, when there is no room for a leader. */
  readonly text?: string;
}

export type Construction =
  | { readonly type: "arc"; readonly centre_m: PointM; readonly radius_m: number; readonly text?: string }
  | { readonly type: "line"; readonly points_m: readonly PointM[]; readonly text?: string }
  | { readonly type: "point"; readonly at_m: PointM; readonly text?: string };

type PickedKind = "mark" | "station" | "court" | "shot" | "low-spot" | "piece" | "slope" | "note";

/** What was touched on the sheet. */
export interface Picked {
  readonly kind: PickedKind;
  readonly id: string;
}

/** What a point was caught by while drawing. */
export type CaughtBy = "corner" | "line" | "pad" | "mark" | "end" | "court" | "start";

/** How far a drawing has come; for words and buttons of the screen around the sheet. */
export interface Drawing {
  readonly kind: string;
  readonly shape: GeometryM["type"];
  readonly count: number;
  /** The points put so far; another array when one more is put or taken back. */
  readonly points_m: readonly PointM[];
  readonly length_m: number;
  readonly canFinish: boolean;
  readonly caught: CaughtBy | null;
}

/** What to bring into sight: everything, the pad, one thing, or some points. */
export type Fit = "all" | "pad" | Picked | readonly PointM[];

export const EMPTY: PlanContent = { pad: null, courts: [], marks: new Map() };
