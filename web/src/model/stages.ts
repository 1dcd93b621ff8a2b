/** The stages of a job, in their order. */
export const STAGES = ["call", "walk", "verdict", "remedies", "price", "offer", "work", "watch"] as const;
export type Stage = (typeof STAGES)[number];

export function isStage(text: string): text is Stage {
  return (STAGES as readonly string[]).includes(text);
}
