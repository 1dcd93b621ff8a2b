/** Places with a name: to tape from, and to begin a run of shots at. */
import courts from "../data/courts.json";
import type { PointM } from "./frame";
import type { Label } from "./kinds";

/** A court as it lies on its pad. */
export interface CourtAt {
  readonly id: string;
  readonly label: string;
  readonly sport: string;
  readonly centre_m: PointM;
  readonly turned_deg: number;
}

export interface Corner {
  readonly id: string;
  readonly label: Label;
  readonly at_m: PointM;
}

interface Sport {
  readonly id: string;
  readonly net_posts_m: readonly PointM[];
  readonly lines: readonly { readonly id: string; readonly points_m: readonly PointM[] }[];
  readonly corners: readonly Corner[];
}

const SPORTS = courts as unknown as readonly Sport[];

function sportOf(court: CourtAt): Sport | undefined {
  return SPORTS.find(({ id }) => id === court.sport);
}

/** A place of a court's own frame on its pad: turned clockwise, then moved. */
export function onPadFrame(court: CourtAt, [x, y]: PointM): PointM {
  const turn = (court.turned_deg * Math.PI) / 180;
  const [cos, sin] = [Math.cos(turn), Math.sin(turn)];
  return [court.centre_m[0] + x * cos + y * sin, court.centre_m[1] - x * sin + y * cos];
}

/** The corners of a pad by where they lie: far is where y is larger, left where x is smaller; with numbers where two are alike. */
export function padCorners(outline_m: readonly PointM[]): Corner[] {
  const middle = (axis: 0 | 1) => {
    const all = outline_m.map((point) => point[axis]);
    return (Math.min(...all) + Math.max(...all)) / 2;
  };
  const [x, y] = [middle(0), middle(1)];
  const sides = outline_m.map((point) => [point[1] >= y ? "far" : "near", point[0] >= x ? "right" : "left"] as const);
  const spanish = { far: "lejana", near: "cercana", right: "derecha", left: "izquierda" };
  return outline_m.map((at_m, i) => {
    const [depth, side] = sides[i] as (typeof sides)[number];
    const alike = sides.flatMap((one, j) => (one[0] === depth && one[1] === side ? [j] : []));
    const number = alike.length > 1 ? ` ${alike.indexOf(i) + 1}` : "";
    return {
      id: `pad-${i}`,
      label: {
        en: `${depth} ${side} corner of the pad${number}`,
        es: `esquina ${spanish[depth]} ${spanish[side]} de la losa${number}`,
      },
      at_m,
    };
  });
}

/** The corners of a court's lines, on the pad; with the court's name where there are several. */
export function courtCorners(court: CourtAt, isOnly: boolean): Corner[] {
  return (sportOf(court)?.corners ?? []).map(({ id, label, at_m }) => ({
    id: `${court.id}-${id}`,
    label: isOnly ? label : { en: `${court.label}, ${label.en}`, es: `${court.label}, ${label.es}` },
    at_m: onPadFrame(court, at_m),
  }));
}

/** The net line of a court, or the line that halves it; null where it has neither. */
export function middleLine(court: CourtAt): readonly [PointM, PointM] | null {
  const sport = sportOf(court);
  const [left, right] = sport?.net_posts_m ?? [];
  if (left !== undefined && right !== undefined) return [onPadFrame(court, left), onPadFrame(court, right)];
  const halving = sport?.lines.find(({ points_m }) => points_m.length === 2 && points_m.every(([, y]) => y === 0));
  const [from, to] = halving?.points_m ?? [];
  return from === undefined || to === undefined ? null : [onPadFrame(court, from), onPadFrame(court, to)];
}
