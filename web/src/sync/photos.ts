/** Photos on this device: kept byte for byte as the camera wrote them until the office has them, and longer while there is room. */
import { ring } from "./bell";
import { hex } from "./envelope";
import { type PhotoKept, phone } from "./phone";
import { askToPersist, NoRoom, roomLacks } from "./storage";

/** Longer side of the small copy. [px] */
const PREVIEW = 480;

/**
 * Keep a photo; when this resolves it is on the disk. Its item in the walk's document is made after, with the same id.
 *
 * Throws `NoRoom` when the disk does not take it.
 */
export async function takeIn(walk: string, file: File, id: string = crypto.randomUUID()): Promise<PhotoKept> {
  void askToPersist();
  const photo: PhotoKept = {
    id,
    walk,
    name: file.name || "photo.jpg",
    sha256: await sha256Of(file),
    size: file.size,
    bytes: new Blob([file], { type: file.type }),
    preview: await previewOf(file),
    uploadId: null,
    isSent: false,
    takenAt: file.lastModified || Date.now(),
  };
  try {
    await keep(photo);
  } catch (error) {
    if (roomLacks(error)) throw new NoRoom();
    throw error;
  }
  ring({ kind: "photos", walk });
  ring({ kind: "new" });
  return photo;
}

async function keep(photo: PhotoKept): Promise<void> {
  const transaction = (await phone()).transaction("photos", "readwrite", { durability: "strict" });
  await Promise.all([transaction.store.put(photo), transaction.done]);
}

async function sha256Of(file: Blob): Promise<string> {
  return hex(new Uint8Array(await crypto.subtle.digest("SHA-256", await file.arrayBuffer())));
}

/** A small copy to show; null where the browser cannot read the picture, as HEIC in most. */
async function previewOf(file: Blob): Promise<Blob | null> {
  if (typeof createImageBitmap === "undefined") return null;
  let picture: ImageBitmap | undefined;
  try {
    picture = await createImageBitmap(file, { imageOrientation: "from-image" });
    const scale = Math.min(1, PREVIEW / Math.max(picture.width, picture.height));
    const canvas = new OffscreenCanvas(Math.ceil(picture.width * scale), Math.ceil(picture.height * scale));
    canvas.getContext("2d")?.drawImage(picture, 0, 0, canvas.width, canvas.height);
    return await canvas.convertToBlob({ type: "image/jpeg", quality: 0.8 });
  } catch {
    return null;
  } finally {
    picture?.close();
  }
}

/** Photos of a walk that this device keeps, the oldest first. */
export async function photosOf(walk: string): Promise<PhotoKept[]> {
  const found = await (await phone()).getAllFromIndex("photos", "walk", walk);
  return found.sort((one, other) => one.takenAt - other.takenAt);
}

export async function photoOf(id: string): Promise<PhotoKept | undefined> {
  return (await phone()).get("photos", id);
}

/** Photos that the office does not have, those that it refused among them, of a walk or of all. */
export async function lackingPhotos(walk?: string): Promise<PhotoKept[]> {
  const all = walk === undefined ? await (await phone()).getAll("photos") : await photosOf(walk);
  return all.filter((photo) => !photo.isSent);
}

/** Photos to send: what the office refused once is not sent again. */
export async function unsentPhotos(walk?: string): Promise<PhotoKept[]> {
  return (await lackingPhotos(walk)).filter((photo) => photo.refused === undefined);
}

/** Change what is known of a kept photo. */
export async function editPhoto(id: string, fields: Partial<PhotoKept>): Promise<void> {
  const transaction = (await phone()).transaction("photos", "readwrite");
  const photo = await transaction.store.get(id);
  if (photo !== undefined) await transaction.store.put({ ...photo, ...fields });
  await transaction.done;
  if (photo !== undefined) ring({ kind: "photos", walk: photo.walk });
}

/** How much this device would gain by letting go of photos that are at the office. [bytes] */
export async function releasable(): Promise<{ count: number; bytes: number }> {
  const sent = (await (await phone()).getAll("photos")).filter((photo) => photo.isSent && photo.bytes !== null);
  return { count: sent.length, bytes: sent.reduce((sum, photo) => sum + photo.size, 0) };
}

/** Let go of the bytes of photos that are at the office; small copies stay. */
export async function release(): Promise<void> {
  const transaction = (await phone()).transaction("photos", "readwrite");
  for await (const cursor of transaction.store) {
    if (cursor.value.isSent && cursor.value.bytes !== null) await cursor.update({ ...cursor.value, bytes: null });
  }
  await transaction.done;
  ring({ kind: "room" });
}
