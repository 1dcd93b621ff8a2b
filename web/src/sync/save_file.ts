/** A walk as one file, made without the office: everything that was typed, in envelopes, as the office takes it in. */
import { borrow, giveBack } from "./borrow";
import { pack } from "./envelope";
import { deviceId } from "./phone";

/** The bytes of the file. The first envelope is the same in every later save, so that it stays the same walk. */
export async function walkFile(walk: string): Promise<Blob> {
  const open = await borrow(walk);
  try {
    const device = await deviceId();
    const envelopes: BlobPart[] = [];
    for (const part of await open.lacking()) envelopes.push(await pack({ device, ...part }));
    return new Blob(envelopes, { type: "application/octet-stream" });
  } finally {
    await giveBack(walk);
  }
}

/** What the file is called: the job's name without what a disk may not like, and the day. */
export function nameOfFile(job: string, day: Date): string {
  const name =
    job
      .normalize("NFC")
      .replaceAll(/[^\p{L}\p{N}]+/gu, "-")
      .replaceAll(/^-+|-+$/g, "") || "walk";
  const [date] = day.toISOString().split("T");
  return `${name}-${date}.cw-walk`;
}

/** Hand a file to the browser, to be saved. */
export function download(file: Blob, name: string): void {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(file);
  link.download = name;
  link.click();
  // The browser reads it after this.
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
}
