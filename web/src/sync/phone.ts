/** What this device keeps beside the walks: jobs, photos to send, the office's last answers, deeds that can be undone. */
import { type DBSchema, type IDBPDatabase, openDB } from "idb";
import type { Stage } from "../model/stages";
import type { Change } from "./open_walk";

/** A job as this device knows it. It may have been opened without signal: then the office has no id for it yet. */
export interface JobKept {
  /** Its id here; the office's own id where it came from there. */
  key: string;
  /** The id at the office, once it is known there. */
  officeId: string | null;
  /** Version of the office's record, for If-Match. */
  version: number;
  name: string;
  address: string;
  note: string;
  customer: "home" | "club" | "school" | "municipal" | "manager" | null;
  stage: Stage;
  units: "us" | "metric";
  call: Record<string, unknown>;
  /** Ids of its walks, the newest first. */
  walks: string[];
  /** Of `walks`, those that the office does not know yet. */
  walksToSend: string[];
  /** Names of fields that were changed here and not yet sent. */
  unsent: string[];
  /** As it was sent to the office at first: sent again it must be the same, to be opened once. */
  asOpened?: JobOpened;
  /** When the office was last asked which walks it has. */
  walksAskedAt?: number;
  changedAt: number;
}

/** The fields of a job that are sent. */
export type JobOpened = Pick<JobKept, "name" | "address" | "note" | "customer" | "stage" | "units" | "call">;

/** A photo on this device; its bytes are given up only when the office has them. */
export interface PhotoKept {
  /** Its id in the walk's document. */
  id: string;
  walk: string;
  name: string;
  sha256: string;
  size: number;
  /** The file as the camera wrote it; null when it was sent and its place was needed. */
  bytes: Blob | null;
  /** A small copy to show. */
  preview: Blob | null;
  uploadId: string | null;
  isSent: boolean;
  /** What the office said when it would not have it; it is not sent again. */
  refused?: string;
  takenAt: number;
}

/** The office's last answer to a question about a walk. */
export interface AnswerKept {
  /** `walk/what/language`. */
  key: string;
  walk: string;
  what: string;
  at: string;
  isCurrent: boolean;
  seq: number;
  answer: unknown;
}

/** One thing a person did in a walk, and how to take it back. */
export interface DeedKept {
  walk: string;
  number: number;
  changes: Change[];
  isUndone: boolean;
}

/** How far the office knows a walk, as far as this device was told. */
export interface OfficeKnows {
  /** As Yjs writes it. */
  vector: Uint8Array;
  seq: number;
  at: number;
  /** What the office said when it would not take what was typed. */
  refused?: string;
}

export interface Phone extends DBSchema {
  jobs: { key: string; value: JobKept };
  photos: { key: string; value: PhotoKept; indexes: { walk: string } };
  answers: { key: string; value: AnswerKept };
  deeds: { key: [string, number]; value: DeedKept };
  /** Single values by name. */
  words: { key: string; value: unknown };
  /** By walk. */
  office: { key: string; value: OfficeKnows };
}

let opened: Promise<IDBPDatabase<Phone>> | null = null;

/** The database of this device, opened once. */
export function phone(): Promise<IDBPDatabase<Phone>> {
  opened ??= openDB<Phone>("courtwright", 1, {
    upgrade(database) {
      database.createObjectStore("jobs", { keyPath: "key" });
      database.createObjectStore("photos", { keyPath: "id" }).createIndex("walk", "walk");
      database.createObjectStore("answers", { keyPath: "key" });
      database.createObjectStore("deeds", { keyPath: ["walk", "number"] });
      database.createObjectStore("words");
      database.createObjectStore("office");
    },
    // Another tab wants a newer shape, or the browser took the database away: it is opened again when it is asked for.
    blocking(_now, _wanted, event) {
      (event.target as IDBDatabase).close();
      opened = null;
    },
    terminated() {
      opened = null;
    },
  });
  return opened;
}

let device: Promise<string> | null = null;

/** The id of this device, chosen at its first start; on a full disk it holds until the client is closed. */
export function deviceId(): Promise<string> {
  device ??= chosen();
  return device;
}

async function chosen(): Promise<string> {
  const fresh = crypto.randomUUID();
  try {
    const transaction = (await phone()).transaction("words", "readwrite");
    const known = await transaction.store.get("device");
    if (typeof known === "string") return known;
    await Promise.all([transaction.store.put(fresh, "device"), transaction.done]);
  } catch {
    // The walk can be saved as a file all the same.
  }
  return fresh;
}
