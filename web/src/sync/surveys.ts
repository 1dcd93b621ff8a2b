/** Survey files: brought to the office byte for byte, looked at there before they are taken. Both need signal. */
import { good, office } from "../api/office";
import type { components } from "../api/schema";
import { finished } from "./answers";
import { hex } from "./envelope";
import { sendFirst } from "./round";
import { sendPiece } from "./send_photo";

type Schemas = components["schemas"];
export type SurveyLook = Schemas["LookOut"];
export type ListSeen = Schemas["ListSeen"];
export type ColumnsTold = Schemas["ColumnsTold"];
export type PlaceTold = Schemas["PlaceTold"];
export type LookAsked = Schemas["LookIn"];

/** The office takes no larger file of a survey [bytes]. */
export const MOST_BYTES = 200_000_000;

/** Bring a file to the office once it has the walk; gives its hash. Throws `NotReached` without signal. */
export async function bring(walk: string, file: File, progress: (share: number) => void): Promise<string> {
  const sha256 = hex(new Uint8Array(await crypto.subtle.digest("SHA-256", await file.arrayBuffer())));
  await sendFirst(walk);
  const body = { sha256, size_bytes: file.size, name: file.name, kind: "survey" as const };
  const told = good(await office.POST("/api/walks/{id}/uploads", { params: { path: { id: walk } }, body }));
  if (told.is_complete || told.id === null) return sha256;
  let at = told.offset_bytes;
  // The last piece makes the office look what the file is; it is sent even where nothing of it is left to send.
  do {
    at = await sendPiece(told.id, file, at);
    progress(at / file.size);
  } while (at < file.size);
  return sha256;
}

/** What the office sees in a file that it has. */
export async function lookAt(walk: string, asked: LookAsked): Promise<SurveyLook> {
  const path = { id: walk };
  const task = good(await office.POST("/api/walks/{id}/surveys/looks", { params: { path }, body: asked }));
  await finished(task);
  const found = { ...path, task: task.id };
  return good(await office.GET("/api/walks/{id}/surveys/looks/{task}", { params: { path: found } }));
}
