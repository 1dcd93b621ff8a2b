/** Requests to the office, typed by its schema. Every change carries the session's word; every failure is a `Problem`. */
import createClient, { type Middleware } from "openapi-fetch";
import { NotReached, problemOf } from "./problem";
import type { paths } from "./schema";

let word = "";
let language = "en";
let onUnknown: () => void = () => undefined;
let onReached: (isReached: boolean) => void = () => undefined;

/** An office that does not answer for so long is not reached. */
const ANSWERS_WITHIN_MS = 60_000;
/** What stands between here and the office answers so when the office is away. */
const AWAY = new Set([502, 504]);

/** The word of the session, which every change must carry. */
export function setWord(given: string): void {
  word = given;
}

/** In which the office says what is wrong. */
export function setLanguage(given: string): void {
  language = given;
}

/** Called when the office does not know the caller any more. */
export function whenUnknown(call: () => void): void {
  onUnknown = call;
}

/** Called after each request with whether the office answered it. */
export function whenReached(call: (isReached: boolean) => void): void {
  onReached = call;
}

/** A request that the schema does not type: bytes of updates, photos, files. */
export async function send(path: string, init: RequestInit = {}): Promise<Response> {
  const headers = new Headers(init.headers);
  headers.set("Accept-Language", language);
  if (init.method !== undefined && init.method !== "GET" && init.method !== "HEAD") headers.set("X-CSRF-Token", word);
  const response = await reach(new Request(path, { ...init, headers, credentials: "same-origin" }));
  if (response.status === 401) onUnknown();
  if (!response.ok && response.status !== 304) throw await problemOf(response);
  return response;
}

async function reach(request: Request): Promise<Response> {
  const late = AbortSignal.timeout(ANSWERS_WITHIN_MS);
  try {
    const response = await fetch(request, { signal: AbortSignal.any([request.signal, late]) });
    if (AWAY.has(response.status)) throw new NotReached();
    onReached(true);
    return response;
  } catch (error) {
    if (error instanceof DOMException && error.name === "AbortError") throw error;
    onReached(false);
    throw new NotReached();
  }
}

const guard: Middleware = {
  onRequest({ request }) {
    request.headers.set("Accept-Language", language);
    if (request.method !== "GET") request.headers.set("X-CSRF-Token", word);
    return request;
  },
  async onResponse({ response }) {
    if (response.status === 401) onUnknown();
    if (!response.ok) throw await problemOf(response);
    return response;
  },
};

/** `office.GET("/api/jobs/{id}", …)`: resolves with data, or throws a `Problem` or `NotReached`. */
export const office = createClient<paths>({ baseUrl: "/", fetch: reach, credentials: "same-origin" });
office.use(guard);

/** The data of an answer that was good: a bad one has thrown already. */
export function good<Data>(answer: { data?: Data }): Data {
  return answer.data as Data;
}
