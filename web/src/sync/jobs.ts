/** Jobs on this device: opened and changed without signal. */
import { good, office } from "../api/office";
import type { components } from "../api/schema";
import { ring } from "./bell";
import { type JobKept, type JobOpened, phone } from "./phone";

type JobOut = components["schemas"]["JobOut"];

/** Fields of a job that a person changes. */
export type JobFields = JobOpened;

export const JOB_FIELDS = ["name", "address", "note", "customer", "stage", "units", "call"] as const;

/** Open a job on this device. */
export async function openJob(fields: Partial<JobFields>): Promise<JobKept> {
  const job: JobKept = {
    key: crypto.randomUUID(),
    officeId: null,
    version: 0,
    name: "",
    address: "",
    note: "",
    customer: null,
    stage: "call",
    units: "us",
    call: {},
    ...fields,
    walks: [],
    walksToSend: [],
    unsent: [],
    changedAt: Date.now(),
  };
  await (await phone()).put("jobs", job);
  ring({ kind: "job", key: job.key });
  ring({ kind: "new" });
  return job;
}

export async function keptJobs(): Promise<JobKept[]> {
  return (await (await phone()).getAll("jobs")).sort((one, other) => other.changedAt - one.changedAt);
}

export async function keptJob(key: string): Promise<JobKept | undefined> {
  return (await phone()).get("jobs", key);
}

/** Change fields of a job here; they are sent later. */
export async function changeJob(key: string, fields: Partial<JobFields>): Promise<JobKept | undefined> {
  const job = await edit(key, (one) => ({
    ...one,
    ...fields,
    unsent: [...new Set([...one.unsent, ...Object.keys(fields)])],
    changedAt: Date.now(),
  }));
  ring({ kind: "new" });
  return job;
}

/** Begin a walk of a job here; returns its id. */
export async function beginWalk(key: string): Promise<string> {
  const id = crypto.randomUUID();
  await edit(key, (job) => ({
    ...job,
    walks: [id, ...job.walks],
    walksToSend: [...job.walksToSend, id],
    changedAt: Date.now(),
  }));
  ring({ kind: "new" });
  return id;
}

/** Change the kept job in one go, so that two tabs do not write over each other. */
export async function edit(key: string, change: (job: JobKept) => JobKept): Promise<JobKept | undefined> {
  const transaction = (await phone()).transaction("jobs", "readwrite", { durability: "strict" });
  const job = await transaction.store.get(key);
  const changed = job && change(job);
  if (changed !== undefined) await transaction.store.put(changed);
  await transaction.done;
  if (changed !== undefined) ring({ kind: "job", key });
  return changed;
}

/** Fetch a page of the office's jobs; those with unsent changes here keep them. */
export async function fetchJobs(text = "", after?: string): Promise<{ jobs: JobKept[]; next: string | null }> {
  const query = { text, ...(after === undefined ? {} : { after }) };
  const page = good(await office.GET("/api/jobs", { params: { query } }));
  const jobs: JobKept[] = [];
  for (const one of page.items) jobs.push(await taken(one));
  return { jobs, next: page.next };
}

/** Ask the office which walks a job has; those it does not know yet stand first. */
export async function fetchWalks(key: string): Promise<JobKept | undefined> {
  const id = (await keptJob(key))?.officeId;
  if (!id) return undefined;
  const { items } = good(await office.GET("/api/jobs/{id}/walks", { params: { path: { id }, query: { most: 200 } } }));
  const newest = items.toSorted((one, other) => (one.made_at < other.made_at ? 1 : -1)).map((walk) => walk.id);
  return edit(key, (job) => {
    const more = job.walks.filter((walk) => !newest.includes(walk));
    return { ...job, walks: [...more, ...newest], walksAskedAt: Date.now() };
  });
}

/** Keep a job as the office told it; what was changed here and not sent stays. */
export async function taken(told: JobOut): Promise<JobKept> {
  const transaction = (await phone()).transaction("jobs", "readwrite");
  const known = (await transaction.store.getAll()).find((job) => job.officeId === told.id || job.key === told.id);
  const fresh = { ...fieldsOf(told), officeId: told.id, version: told.version };
  const mine = Object.fromEntries((known?.unsent ?? []).map((name) => [name, known?.[name as keyof JobKept]]));
  const job: JobKept = {
    key: told.id,
    walks: [],
    walksToSend: [],
    unsent: [],
    ...known,
    changedAt: Date.parse(told.changed_at),
    ...fresh,
    ...mine,
  };
  await transaction.store.put(job);
  await transaction.done;
  if (known === undefined || known.version !== told.version) ring({ kind: "job", key: job.key });
  return job;
}

/** The fields of a job that a person changes, alone. */
export function fieldsOf(job: JobFields): JobFields {
  const { name, address, note, customer, stage, units, call } = job;
  return { name, address, note, customer, stage, units, call };
}
