/** What the office says when something could not be done: RFC 9457, in the reader's language. */
export class Problem extends Error {
  readonly status: number;
  readonly code: string;
  readonly todo: string;
  readonly places: readonly { at: string; says: string }[];

  constructor(
    status: number,
    code: string,
    says: string,
    todo: string,
    places: readonly { at: string; says: string }[] = [],
  ) {
    super(says);
    this.status = status;
    this.code = code;
    this.todo = todo;
    this.places = places;
  }
}

/** Whether somebody else has changed what was to be changed, since it was seen. */
export function isStale(error: unknown): boolean {
  return error instanceof Problem && error.status === 412;
}

/** The office was not reached: no signal, or it is not running. */
export class NotReached extends Error {}

export async function problemOf(response: Response): Promise<Problem> {
  try {
    const told = await response.json();
    return new Problem(
      response.status,
      String(told.code ?? ""),
      String(told.title ?? ""),
      String(told.detail ?? ""),
      told.places ?? [],
    );
  } catch {
    return new Problem(response.status, "no-words", `HTTP ${response.status}`, "");
  }
}
