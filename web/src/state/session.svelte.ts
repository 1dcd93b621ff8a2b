/** Who is signed in, and whether the office is reached. Work goes on without either. */
import { whenReached, whenUnknown } from "../api/office";
import { round } from "../sync/round";
import { lastPerson, type Person, signIn, signOut, whenTold, whoIsIn } from "../sync/session";

export type { Person } from "../sync/session";

class Session {
  /** The person of the last session on this device, until the office says that it is over. */
  person = $state.raw<Person | null>(lastPerson());
  /** Whether the office answered when it was asked last. */
  isReached = $state(false);

  constructor() {
    whenUnknown(() => {
      this.person = null;
    });
    whenTold((person) => {
      this.person = person;
    });
    whenReached((isReached) => {
      this.isReached = isReached;
    });
  }

  /** Ask the office who is signed in here; without signal the last person stays. */
  async look(): Promise<void> {
    await whoIsIn().catch(() => undefined);
  }

  async signIn(email: string, password: string): Promise<void> {
    await signIn(email, password);
    // What waited for it is sent.
    round.soon(0);
  }

  async signOut(): Promise<void> {
    await signOut();
  }
}

export const session = new Session();
