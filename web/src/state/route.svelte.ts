/** Where one is: behind the `#` of the address, so that it works without signal and the way back is the browser's. */
import { isStage, type Stage } from "../model/stages";

type Route =
  | { at: "jobs" }
  | { at: "job"; job: string; stage: Stage; part: string }
  | { at: "company" | "guide" | "sign-in" | "settings" | "nowhere"; part: string };

const PLACES = ["company", "guide", "sign-in", "settings"] as const;

export function routeOf(hash: string): Route {
  const [first = "", ...rest] = hash.replace(/^#\/?/, "").split("/").map(decodeURIComponent);
  if (first === "") return { at: "jobs" };
  if (first === "jobs") {
    const [job, stage = "walk", part = ""] = rest;
    if (job !== undefined && isStage(stage)) return { at: "job", job, stage, part };
  }
  const place = PLACES.find((one) => one === first);
  return { at: place ?? "nowhere", part: rest[0] ?? "" };
}

/** The address of a stage of a job. */
export function toStage(job: string, stage: Stage, part = ""): string {
  return `#/jobs/${encodeURIComponent(job)}/${stage}${part === "" ? "" : `/${encodeURIComponent(part)}`}`;
}

class Here {
  route = $state<Route>(routeOf(location.hash));

  constructor() {
    addEventListener("hashchange", () => {
      this.route = routeOf(location.hash);
    });
  }

  go(hash: string): void {
    location.hash = hash;
  }
}

export const here = new Here();
