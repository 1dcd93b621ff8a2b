/** The colours of a sheet: the roles of the styles, read from the page, or paper and ink for print. */
export interface Inks {
  readonly ink: string;
  readonly paper: string;
  readonly hairline: string;
  readonly madder: string;
  readonly water: string;
  readonly earth: string;
  readonly leaf: string;
  /** How much thicker than in daylight on paper lines are drawn. */
  readonly weight: number;
}

const ROLES = ["ink", "paper", "hairline", "madder", "water", "earth", "leaf"] as const;

export function inksOf(element: Element): Inks {
  const style = getComputedStyle(element);
  const roles = Object.fromEntries(ROLES.map((role) => [role, style.getPropertyValue(`--${role}`).trim()]));
  const rule = Number.parseFloat(style.getPropertyValue("--rule")) || 1;
  return { ...(roles as Record<(typeof ROLES)[number], string>), weight: rule > 1 ? 1.5 : 1 };
}

/** On paper: the washes are light enough to print grey under black ink. */
export const PRINT: Inks = {
  ink: "#000000",
  paper: "#ffffff",
  hairline: "#b0b0b0",
  madder: "#000000",
  water: "#e3ebf0",
  earth: "#eee6dc",
  leaf: "#e8ede5",
  weight: 1,
};
