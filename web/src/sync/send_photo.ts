/** Photos on their way to the office: in pieces, gone on with where they broke off. */
import { good, office, send } from "../api/office";
import { Problem } from "../api/problem";
import type { PhotoKept } from "./phone";
import { editPhoto } from "./photos";

/** A broken connection costs less than this. [bytes] */
const PIECE = 1_000_000;

/** Send a photo, from where the office has it. Its bytes are read piece by piece. */
export async function sendPhoto(photo: PhotoKept): Promise<void> {
  if (photo.bytes === null) return;
  try {
    await sendPieces(photo, photo.bytes);
    await editPhoto(photo.id, { isSent: true });
  } catch (error) {
    // What the office will never have is not sent again and again; it stays here and in the file of the walk.
    if (error instanceof Problem && (error.status === 422 || error.status === 413))
      await editPhoto(photo.id, { refused: `${error.message} ${error.todo}`.trim() });
    throw error;
  }
}

async function sendPieces(photo: PhotoKept, bytes: Blob): Promise<void> {
  const body = { sha256: photo.sha256, size_bytes: photo.size, name: photo.name, kind: "photo" as const };
  // Announced again it is the same upload, and the office tells how far it has come.
  const told = good(await office.POST("/api/walks/{id}/uploads", { params: { path: { id: photo.walk } }, body }));
  if (told.is_complete || told.id === null) return;
  if (photo.uploadId !== told.id) await editPhoto(photo.id, { uploadId: told.id });
  let at = told.offset_bytes;
  while (at < bytes.size) at = await sendPiece(told.id, bytes, at);
}

/** Send one piece; returns where the next begins. */
export async function sendPiece(upload: string, bytes: Blob, at: number): Promise<number> {
  const end = Math.min(at + PIECE, bytes.size);
  const headers = {
    "Content-Type": "application/partial-upload",
    "Upload-Offset": String(at),
    "Upload-Complete": end === bytes.size ? "?1" : "?0",
  };
  try {
    const answer = await send(`/api/uploads/${upload}`, { method: "PATCH", headers, body: bytes.slice(at, end) });
    return Number(answer.headers.get("Upload-Offset"));
  } catch (error) {
    if (error instanceof Problem && error.status === 409) return offsetOf(upload, at, error);
    throw error;
  }
}

/** Where the office wants to go on; throws again when it is not another place. */
async function offsetOf(upload: string, at: number, error: Problem): Promise<number> {
  const answer = await send(`/api/uploads/${upload}`, { method: "HEAD" });
  const offset = Number(answer.headers.get("Upload-Offset"));
  if (offset === at) throw error;
  return offset;
}
