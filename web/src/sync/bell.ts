/** What happens to what this device keeps, told to whoever listens: in this tab, and in the others of this browser. */
import type { Kept } from "./open_walk";

export type Ring =
  /** Something was typed or taken in this tab that the office lacks. */
  | { kind: "new" }
  /** Where what was typed into a walk that is open in this tab is. */
  | { kind: "kept"; walk: string; kept: Kept }
  /** Updates of a walk came to the disk, by the open walk `by`. */
  | { kind: "stored"; walk: string; by: string }
  | { kind: "job"; key: string }
  | { kind: "photos"; walk: string }
  /** A walk is at the office as far as it was known when it was sent. */
  | { kind: "sent"; walk: string }
  /** The office would not have what was typed into a walk. */
  | { kind: "refused"; walk: string }
  /** Room was made on this device. */
  | { kind: "room" };

type Listener = (ring: Ring) => void;

const OF_THIS_TAB = new Set<Ring["kind"]>(["new", "kept"]);
const listeners = new Set<Listener>();
let channel: BroadcastChannel | null = null;

/** Tell it. */
export function ring(told: Ring): void {
  for (const listener of listeners) listener(told);
  if (!OF_THIS_TAB.has(told.kind)) channel?.postMessage(told);
}

/** Be told; call what is returned to be told no more. */
export function listen(listener: Listener): () => void {
  channel ??= opened();
  listeners.add(listener);
  return () => listeners.delete(listener);
}

function opened(): BroadcastChannel | null {
  if (typeof BroadcastChannel === "undefined") return null;
  const made = new BroadcastChannel("courtwright");
  made.onmessage = (event: MessageEvent<Ring>) => {
    for (const listener of listeners) listener(event.data);
  };
  return made;
}
