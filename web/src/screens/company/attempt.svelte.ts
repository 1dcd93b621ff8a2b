import { isStale } from "../../api/problem";

/** One thing at a time that is asked of the office: busy, done, or what went wrong. */
export class Attempt {
  isBusy = $state(false);
  isDone = $state(false);
  trouble = $state.raw<unknown>(null);

  /**
   * Do it, and keep what went wrong to be shown; returns whether it went well. Where somebody else was first, `newest`
   * fetches what is there now, and says so.
   */
  async make(act: () => Promise<void>, newest?: () => Promise<void>): Promise<boolean> {
    this.isBusy = true;
    this.isDone = false;
    this.trouble = null;
    try {
      await act();
      this.isDone = true;
    } catch (error) {
      this.trouble = isStale(error) && newest ? await whatFails(newest) : error;
    }
    this.isBusy = false;
    return this.isDone;
  }
}

async function whatFails(act: () => Promise<void>): Promise<unknown> {
  try {
    await act();
    return null;
  } catch (error) {
    return error;
  }
}
