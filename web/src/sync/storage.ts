/** Room on this device: asked for to stay, looked at before it runs out. */
import { ring } from "./bell";

/** The disk did not take what was to be kept. */
export class NoRoom extends Error {}

/** How much room there is for all that the client keeps. */
export interface Room {
  used: number;
  /** What the browser allows; null where it does not say. [bytes] */
  allowed: number | null;
  /** Whether the browser has promised not to clear it by itself. */
  isPersistent: boolean;
}

/** With less left than a few photos need, it is said. [bytes] */
const FEW_PHOTOS = 60_000_000;
/** Browsers allow a share of the disk: with less left than this share of it, it is said where that is the smaller. */
const LITTLE = 0.1;

export async function room(): Promise<Room> {
  const storage = navigator.storage as StorageManager | undefined;
  const { usage = 0, quota } = (await storage?.estimate?.()) ?? {};
  return { used: usage, allowed: quota ?? null, isPersistent: (await storage?.persisted?.()) ?? false };
}

/** Whether room runs out soon. */
export function isNearlyFull({ used, allowed }: Room): boolean {
  return allowed !== null && allowed - used < Math.min(FEW_PHOTOS, allowed * LITTLE);
}

let isAsked = false;

/** Ask the browser, once, not to clear what is kept; at the first thing that was typed. */
export async function askToPersist(): Promise<void> {
  if (isAsked) return;
  isAsked = true;
  const storage = navigator.storage as StorageManager | undefined;
  if ((await storage?.persisted?.()) === false && (await storage?.persist?.())) ring({ kind: "room" });
}

/** Whether something was not kept because there is no room. */
export function roomLacks(error: unknown): boolean {
  return error instanceof DOMException && error.name === "QuotaExceededError";
}
