/** Requests are named by paths, as pages name them. Imported before the client, which takes `Request` when it is read. */
const Real = globalThis.Request;

/** Where the paths lead. */
export const pages = { address: "http://127.0.0.1" };

globalThis.Request = class extends Real {
  constructor(input: RequestInfo | URL, init?: RequestInit) {
    super(typeof input === "string" ? new URL(input, pages.address) : input, init);
  }
};
