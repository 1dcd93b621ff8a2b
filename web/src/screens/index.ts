/** Which screen shows a stage. A stage that is not here yet is a word on the line of stages and nothing else. */
import type { Component } from "svelte";
import type { Stage } from "../model/stages";

export interface StageProps {
  /** Key of the job on this phone. */
  job: string;
  /** What stands behind the stage in the address, if anything. */
  part: string;
}

type Loader = () => Promise<{ default: Component<StageProps> }>;

export const stageScreens: Partial<Record<Stage, Loader>> = {
  call: () => import("./call/Call.svelte"),
  walk: () => import("./walk/Walk.svelte"),
  verdict: () => import("./verdict/Verdict.svelte"),
  remedies: () => import("./remedies/Remedies.svelte"),
  price: () => import("./price/Price.svelte"),
  offer: () => import("./offer/Offer.svelte"),
};

export const otherScreens = {
  company: () => import("./company/Company.svelte"),
  guide: () => import("./guide/Guide.svelte"),
  "sign-in": () => import("./enter/SignIn.svelte"),
  settings: () => import("./enter/Settings.svelte"),
} satisfies Record<string, () => Promise<{ default: Component<Record<string, never>> }>>;
