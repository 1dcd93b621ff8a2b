/** The photos of a walk that the office has: asked for with signal, kept nowhere here. */
import { good, office } from "../api/office";
import { Problem } from "../api/problem";

const AT_ONCE = 200;

/** Where the small copy of each is, by the photo's hash; throws `NotReached` without signal. */
export async function photosAtOffice(walk: string): Promise<Map<string, string>> {
  const found = new Map<string, string>();
  try {
    for (let after: string | null | undefined; after !== null; ) {
      const query = { most: AT_ONCE, ...(after === undefined ? {} : { after }) };
      const page = good(await office.GET("/api/walks/{id}/photos", { params: { path: { id: walk }, query } }));
      for (const { id, sha256 } of page.items) found.set(sha256, `/api/photos/${id}/preview`);
      after = page.next;
    }
  } catch (error) {
    // A walk that the office does not know yet has no photos there.
    if (!(error instanceof Problem && error.status === 404)) throw error;
  }
  return found;
}
