import type { JobKept } from "../../sync/phone";

/** Jobs whose name or address holds a text, whatever the case and the accents, as the office finds them. */
export function matching(jobs: readonly JobKept[], text: string): JobKept[] {
  const sought = plain(text.trim());
  return jobs.filter((job) => plain(`${job.name}\n${job.address}`).includes(sought));
}

function plain(text: string): string {
  return text.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase();
}
