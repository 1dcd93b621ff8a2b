/** What the office made of a pad's heights and cracks, put on its sheet. */
import type { PlanContent, PlanLowSpot, PlanPiece, PlanSlope } from "./content";

/** As much of a pad of the office's answer as is drawn. */
export interface GroundPad {
  readonly courts?: readonly { readonly id: string; readonly slope_pct: number; readonly bearing_deg: number }[];
  readonly flatness?: {
    readonly straightedge_m: number;
    readonly gap_max_mm: number;
    readonly at: readonly number[];
    readonly bearing_deg: number;
  } | null;
  readonly low_spots?: readonly {
    readonly id: string;
    readonly outline: readonly (readonly number[])[];
    readonly depth_max_mm: number;
    readonly likelihood?: number | null;
    readonly drawn: boolean;
  }[];
  readonly pieces?: readonly {
    readonly id: string;
    readonly outline: readonly (readonly number[])[];
    readonly free: boolean;
    readonly area_m2: number;
  }[];
}

/** A sheet with what its ground means. Low spots that were drawn by hand stand on it already. */
export function withGround(content: PlanContent, ground: GroundPad): PlanContent {
  const { flatness } = ground;
  const at = flatness?.at;
  return {
    ...content,
    lowSpots: (ground.low_spots ?? []).filter((spot) => !spot.drawn).map(lowSpotOf),
    pieces: (ground.pieces ?? []).map(pieceOf),
    slopes: (ground.courts ?? []).map((court) => slopeOf(content, court)).filter((slope) => slope !== null),
    ...(flatness && at?.[0] !== undefined && at[1] !== undefined && flatness.gap_max_mm > 0
      ? {
          straightedge: {
            at_m: [at[0], at[1]],
            bearing_deg: flatness.bearing_deg,
            length_m: flatness.straightedge_m,
            gap_mm: flatness.gap_max_mm,
          },
        }
      : {}),
  };
}

type Given<Name extends keyof GroundPad> = NonNullable<GroundPad[Name]> extends readonly (infer One)[] ? One : never;

function lowSpotOf(spot: Given<"low_spots">): PlanLowSpot {
  return {
    id: spot.id,
    outline_m: points(spot.outline),
    depth_mm: spot.depth_max_mm,
    ...(typeof spot.likelihood === "number" ? { likelihood: spot.likelihood } : {}),
  };
}

function pieceOf(piece: Given<"pieces">): PlanPiece {
  return { id: piece.id, outline_m: points(piece.outline), free: piece.free, area_m2: piece.area_m2 };
}

/** Courts are told by their labels. */
function slopeOf(content: PlanContent, told: Given<"courts">): PlanSlope | null {
  const court = content.courts.find(({ label, id }) => label === told.id || id === told.id);
  if (court === undefined) return null;
  return { id: court.id, at_m: court.centre_m, bearing_deg: told.bearing_deg, slope_pct: told.slope_pct };
}

function points(given: readonly (readonly number[])[]): (readonly [number, number])[] {
  return given.map(([x = 0, y = 0]) => [x, y] as const);
}
