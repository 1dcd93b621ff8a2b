/** A device in a test: the client's modules as a browser has them, with the real service behind `fetch`. */
import type { Office } from "../../e2e/server";
import { pages } from "./as_pages_do";

type Go = (request: Request) => Promise<Response>;

/** The line between the client and the office. */
export interface Line {
  /** Whether it is cut. */
  away: boolean;
  /** What the client asked, as `GET /api/session`. */
  requests: string[];
  /** Stands between the client and the office. */
  between: (request: Request, go: Go) => Promise<Response>;
}

const straight: Line["between"] = (request, go) => go(request);
const realFetch = globalThis.fetch;
/** Let requests of the client go to an office, with the cookies it gives. */
export function behind(office: Office): Line {
  const line: Line = { away: false, requests: [], between: straight };
  let cookie = "";
  pages.address = office.url;
  const go: Go = async (request) => {
    if (cookie !== "") request.headers.set("cookie", cookie);
    const answer = await realFetch(request);
    for (const one of answer.headers.getSetCookie()) cookie = one.split(";")[0] ?? "";
    return answer;
  };
  globalThis.fetch = async (input, init) => {
    // Whoever looks at the office itself goes past the line.
    if (!(input instanceof Request)) return realFetch(input, init);
    const request = new Request(input, init);
    line.requests.push(`${request.method} ${new URL(request.url).pathname}`);
    if (line.away) throw new TypeError("no line");
    return line.between(request, go);
  };
  return line;
}

/** Do something with somebody between. */
export async function withBetween<Result>(
  line: Line,
  between: Line["between"],
  act: () => Promise<Result>,
): Promise<Result> {
  line.between = between;
  try {
    return await act();
  } finally {
    line.between = straight;
  }
}
