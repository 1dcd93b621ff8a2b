/** The real service for a test: `courtwright serve` on a port and a data folder of its own, really stopped and started. */
/// <reference types="node" />
import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { existsSync } from "node:fs";
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";

const VENV = resolve(import.meta.dirname, "../../.venv/bin");
const START_WITHIN_MS = 60_000;

/** Serves another build of the client than the one in its place: for whoever builds beside others. */
const WITH_BUILD = `
import sys
from pathlib import Path
from courtwright.api import built
built.BUILT = Path(sys.argv.pop(1)).resolve()
from courtwright.cli.main import main
main()
`;

export interface Who {
  name: string;
  email: string;
  password: string;
}

export const HEAD: Who = { name: "Ines Aldana", email: "ines@bellwether.example", password: "marsh lantern ferry 71" };
export const ESTIMATOR: Who = {
  name: "Tom Reyes",
  email: "tom@bellwether.example",
  password: "gravel orchard kite 38",
};

/** What a request outside any browser is answered. */
export interface Told {
  status: number;
  headers: Headers;
  /** Parsed where it is JSON, else null. */
  // biome-ignore lint/suspicious/noExplicitAny: tests look into answers of every shape
  json: any;
  bytes: Uint8Array;
}

export interface Asked {
  json?: unknown;
  body?: BodyInit;
  headers?: Record<string, string>;
}

interface Session {
  cookie: string;
  word: string;
}

export class Office {
  readonly folder: string;
  readonly name = HEAD.name;
  readonly email = HEAD.email;
  readonly password = HEAD.password;
  #port = 0;
  #process: ChildProcess | null = null;
  readonly #sessions = new Map<string, Session>();
  #log = "";

  private constructor(folder: string) {
    this.folder = folder;
  }

  /** Start a new office with its company and its head. */
  static async open(): Promise<Office> {
    const office = new Office(await mkdtemp(join(tmpdir(), "courtwright-office-")));
    const link = await office.start();
    const token = new URL(link).searchParams.get("token");
    const body = { token, ...HEAD, company: "Bellwether Courts" };
    office.#sessions.set(HEAD.email, await office.#arrive("/api/entry/set-up", body));
    return office;
  }

  get url(): string {
    return `http://127.0.0.1:${this.#port}`;
  }

  /** Start, on the same port as before; returns the one-time link. */
  async start(): Promise<string> {
    if (this.#process !== null) throw new Error("the office runs already");
    const build = process.env.COURTWRIGHT_CLIENT;
    const program = join(VENV, build === undefined ? "courtwright" : "python");
    if (!existsSync(program)) throw new Error(`${program} is not there: make setup`);
    const before = build === undefined ? [] : ["-c", WITH_BUILD, resolve(build)];
    const rest = ["serve", "--json", "--port", String(this.#port), "--data", this.folder, "--log", "-"];
    // Settings of whoever runs the tests are not those of this office.
    const env = Object.fromEntries(Object.entries(process.env).filter(([name]) => !name.startsWith("COURTWRIGHT_")));
    const child = spawn(program, [...before, ...rest], { env, stdio: ["ignore", "pipe", "pipe"] });
    this.#process = child;
    this.#log = "";
    child.stderr.on("data", (text) => {
      this.#log = `${this.#log}${text}`.slice(-8_000);
    });
    const told = await this.#ready(child);
    this.#port = Number(new URL(told.address).port);
    return told.link;
  }

  #ready(child: ChildProcess): Promise<{ address: string; link: string }> {
    return new Promise((found, failed) => {
      let text = "";
      const wait = setTimeout(() => failed(new Error(`the office did not start: ${this.#log}`)), START_WITHIN_MS);
      child.once("exit", (code) => failed(new Error(`the office ended with ${code}: ${this.#log}`)));
      child.stdout?.on("data", (more) => {
        text += more;
        if (!text.trimEnd().endsWith("}")) return;
        clearTimeout(wait);
        child.removeAllListeners("exit");
        found(JSON.parse(text));
      });
    });
  }

  /** Stop as a person does: running requests are finished first. */
  async stop(): Promise<void> {
    await this.#end("SIGTERM");
  }

  /** End at once, as a power cut does. */
  async kill(): Promise<void> {
    await this.#end("SIGKILL");
  }

  async #end(signal: NodeJS.Signals): Promise<void> {
    const child = this.#process;
    this.#process = null;
    if (child === null || child.exitCode !== null || child.signalCode !== null) return;
    const ended = once(child, "exit");
    child.kill(signal);
    // One that does not end by itself is ended.
    const late = setTimeout(() => child.kill("SIGKILL"), 15_000);
    await ended;
    clearTimeout(late);
  }

  /** Stop, and take the data away. */
  async close(): Promise<void> {
    await this.#end("SIGTERM");
    await rm(this.folder, { recursive: true, force: true });
  }

  /** The last lines of the log, for when something is not as it should be. */
  get log(): string {
    return this.#log;
  }

  /** Invite an estimator, who joins; returns who it is. */
  async addEstimator(who: Who = ESTIMATOR): Promise<Who> {
    const invited = await this.api("POST", "/api/invitations", { json: { role: "estimator", email: who.email } });
    const token = new URL(invited.json.path, this.url).searchParams.get("token");
    const joined = { token, name: who.name, password: who.password };
    this.#sessions.set(who.email, await this.#arrive("/api/invitations/accept", joined));
    return who;
  }

  /** Ask the office as somebody, the head unless told; throws on any answer that is not good. */
  async api(method: string, path: string, asked: Asked = {}, who: Who = HEAD): Promise<Told> {
    const told = await this.ask(method, path, asked, who);
    if (told.status >= 400) throw new Error(`${method} ${path}: ${told.status} ${JSON.stringify(told.json)}`);
    return told;
  }

  /** Ask the office, whatever it answers. */
  async ask(method: string, path: string, { json, body, headers = {} }: Asked = {}, who: Who = HEAD): Promise<Told> {
    let session = this.#sessions.get(who.email);
    if (session === undefined) {
      session = await this.#arrive("/api/session", { email: who.email, password: who.password });
      this.#sessions.set(who.email, session);
    }
    const all: Record<string, string> = { cookie: session.cookie, "x-csrf-token": session.word, ...headers };
    if (json !== undefined) all["content-type"] = "application/json";
    const given = json === undefined ? body : JSON.stringify(json);
    return this.#fetch(path, { method, headers: all, ...(given === undefined ? {} : { body: given }) });
  }

  async #arrive(path: string, json: object): Promise<Session> {
    const headers = { "content-type": "application/json" };
    const told = await this.#fetch(path, { method: "POST", headers, body: JSON.stringify(json) });
    if (told.status >= 400) throw new Error(`${path}: ${told.status} ${JSON.stringify(told.json)}`);
    const cookie = told.headers.getSetCookie().map((one) => one.split(";")[0]);
    return { cookie: cookie.join("; "), word: told.json.csrf_token };
  }

  async #fetch(path: string, init: RequestInit): Promise<Told> {
    const answer = await fetch(new URL(path, this.url), { redirect: "manual", ...init });
    const bytes = new Uint8Array(await answer.arrayBuffer());
    const isJson = bytes.length > 0 && (answer.headers.get("content-type")?.includes("json") ?? false);
    const json = isJson ? JSON.parse(new TextDecoder().decode(bytes)) : null;
    return { status: answer.status, headers: answer.headers, json, bytes };
  }
}
