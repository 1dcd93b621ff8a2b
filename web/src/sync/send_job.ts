/** Jobs on their way to the office: opened once however often they are sent, changed as they were seen. */
import { good, office } from "../api/office";
import { isStale } from "../api/problem";
import { edit, fieldsOf, JOB_FIELDS, keptJob, taken } from "./jobs";
import type { JobKept } from "./phone";

/** Whether the office lacks something of a job. */
export function isJobUnsent(job: JobKept): boolean {
  return job.officeId === null || job.unsent.length > 0 || job.walksToSend.length > 0;
}

/** Send what the office lacks of a job: the job itself, what was changed of it, that its walks have begun. */
export async function sendJob(key: string): Promise<void> {
  if ((await keptJob(key))?.officeId === null) await open(key);
  await change(key);
  await begin(key);
}

async function open(key: string): Promise<void> {
  const job = await edit(key, (one) => ({ ...one, asOpened: one.asOpened ?? fieldsOf(one) }));
  if (job?.asOpened === undefined) return;
  const asOpened = job.asOpened;
  const params = { header: { "Idempotency-Key": key } };
  const told = good(await office.POST("/api/jobs", { params, body: asOpened }));
  await edit(key, ({ asOpened: _sent, ...one }) => ({
    ...one,
    officeId: told.id,
    version: told.version,
    unsent: JOB_FIELDS.filter((name) => JSON.stringify(one[name]) !== JSON.stringify(asOpened[name])),
  }));
}

async function change(key: string): Promise<void> {
  for (;;) {
    const job = await keptJob(key);
    if (job === undefined || job.officeId === null || job.unsent.length === 0) return;
    const body = Object.fromEntries(job.unsent.map((name) => [name, job[name as keyof JobKept]]));
    const params = { path: { id: job.officeId }, header: { "if-match": `"${job.version}"` } };
    try {
      const told = good(await office.PATCH("/api/jobs/{id}", { params, body }));
      // What was changed again while it was on its way is sent again.
      const isOpen = (one: JobKept, name: string) => differs(one[name as keyof JobKept], body[name]);
      await edit(key, (one) => ({
        ...one,
        version: told.version,
        unsent: one.unsent.filter((name) => !(name in body) || isOpen(one, name)),
      }));
    } catch (error) {
      if (!isStale(error)) throw error;
      // Somebody else changed it: theirs are taken, but for the fields that were changed here.
      await taken(good(await office.GET("/api/jobs/{id}", { params: { path: { id: job.officeId } } })));
    }
  }
}

function differs(one: unknown, other: unknown): boolean {
  return JSON.stringify(one) !== JSON.stringify(other);
}

async function begin(key: string): Promise<void> {
  const job = await keptJob(key);
  if (job === undefined || job.officeId === null) return;
  for (const walk of job.walksToSend.toReversed()) {
    await office.POST("/api/jobs/{id}/walks", { params: { path: { id: job.officeId } }, body: { id: walk } });
    await edit(key, (one) => ({ ...one, walksToSend: one.walksToSend.filter((id) => id !== walk) }));
  }
}
