/** Questions about a walk: asked of the office, and the last answer kept here for when it is not reached. */
import { good, office } from "../api/office";
import { Problem } from "../api/problem";
import type { components } from "../api/schema";
import { type AnswerKept, phone } from "./phone";
import { sendFirst } from "./round";

export type What = "check" | "ground" | "verdict" | "price" | "maps";
type TaskOut = components["schemas"]["TaskOut"];
type AnswerOut = components["schemas"]["AnswerOut"];

const LOOK_AGAIN_MS = 300;

/** How far the office is with an answer, 0 to 1. */
export type Progress = (share: number) => void;

export async function keptAnswer(walk: string, what: What, language: "en" | "es"): Promise<AnswerKept | undefined> {
  return (await phone()).get("answers", `${walk}/${what}/${language}`);
}

/** Ask the office, once it has all that was typed here, wait while it computes, keep the answer. Throws `NotReached` without signal. */
export async function ask(
  walk: string,
  what: What,
  language: "en" | "es",
  progress: Progress = () => undefined,
): Promise<AnswerKept> {
  await sendFirst(walk);
  const asked = { params: { path: { id: walk } }, body: { what, language } };
  for (;;) {
    const { data } = await office.POST("/api/walks/{id}/answers", asked);
    const told = data as AnswerOut | TaskOut;
    if ("answer" in told) return keep(walk, told);
    await finished(told, progress);
  }
}

async function keep(walk: string, told: AnswerOut): Promise<AnswerKept> {
  const answer: AnswerKept = {
    key: `${walk}/${told.what}/${told.language}`,
    walk,
    what: told.what,
    at: told.at,
    isCurrent: told.is_current,
    seq: told.seq,
    answer: told.answer,
  };
  await (await phone()).put("answers", answer);
  return answer;
}

/** Wait until a task is over; throws what went wrong in it. */
export async function finished(task: Pick<TaskOut, "id">, progress: Progress = () => undefined): Promise<void> {
  for (;;) {
    const told = good(await office.GET("/api/tasks/{id}", { params: { path: { id: task.id } } }));
    if (told.state === "done") return;
    if (told.problem !== null)
      throw new Problem(
        told.problem.status,
        told.problem.code,
        told.problem.title,
        told.problem.detail,
        told.problem.places ?? [],
      );
    if (told.state === "stopped") throw new Problem(409, "stopped", "", "");
    progress(told.of === 0 ? 0 : told.done / told.of);
    await new Promise((resolve) => setTimeout(resolve, LOOK_AGAIN_MS));
  }
}
