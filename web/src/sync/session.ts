/** Who is signed in, as the office told it last; the name stays on this device, so that it opens without asking. */
import { good, office, setWord } from "../api/office";
import { Problem } from "../api/problem";
import type { components } from "../api/schema";

export type Person = components["schemas"]["PersonOut"];

let onPerson: (person: Person | null) => void = () => undefined;

/** Called whenever the office told who is signed in here. */
export function whenTold(call: (person: Person | null) => void): void {
  onPerson = call;
}

const NAME = "courtwright person";

/** The person of the last session on this device. */
export function lastPerson(): Person | null {
  try {
    return JSON.parse(localStorage.getItem(NAME) ?? "null") as Person | null;
  } catch {
    return null;
  }
}

/** Ask the office who is signed in here; null when nobody is. */
export async function whoIsIn(): Promise<Person | null> {
  try {
    return arrived(good(await office.GET("/api/session")));
  } catch (error) {
    if (error instanceof Problem && error.status === 401) {
      onPerson(null);
      return null;
    }
    throw error;
  }
}

export async function signIn(email: string, password: string): Promise<Person> {
  return arrived(good(await office.POST("/api/session", { body: { email, password } })));
}

export async function signOut(): Promise<void> {
  await office.DELETE("/api/session");
  localStorage.removeItem(NAME);
  onPerson(null);
}

function arrived(told: components["schemas"]["SessionOut"]): Person {
  setWord(told.csrf_token);
  localStorage.setItem(NAME, JSON.stringify(told.person));
  onPerson(told.person);
  return told.person;
}
