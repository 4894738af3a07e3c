// What the pages ask of the program. Types come from openapi.yaml; what is wrong comes as Trouble.
import type { components, operations } from "./api.d";
import { speaking } from "./sentences";

export type Schemas = components["schemas"];
export type House = Schemas["House"];
export type Form = Schemas["Form"];
export type Field = Schemas["Field"];
export type Filled = Schemas["Filled"];
export type Plan = Schemas["Plan"];
export type PlanLayer = Schemas["PlanLayer"];
export type Live = Schemas["Live"];
export type Strip = Schemas["Strip"];
export type Bead = Schemas["Bead"];
export type Reviewed = Schemas["Reviewed"];
export type PortRow = Schemas["PortRow"];
export type FindingRow = Schemas["FindingRow"];
export type PassRow = Schemas["PassRow"];
export type PassLine = Schemas["PassLine"];
export type PassPage = Schemas["PassPage"];
export type PassAlone = Schemas["PassAlone"];
export type CellAlone = Schemas["CellAlone"];
export type Entry = Schemas["Entry"];
export type EventLine = Schemas["EventLine"];
export type EventPage = Schemas["EventPage"];
export type EventAlone = Schemas["EventAlone"];
export type Truths = Schemas["Banner"];
export type EntryKept = Schemas["EntryKept"];
export type EntryRequest = Schemas["EntryRequest"];
export type Kind = "job" | "procedure";

type Json<R> = R extends { content: { "application/json": infer T } } ? T : never;
type Responses<O extends keyof operations> = operations[O]["responses"];
export type Answer<O extends keyof operations> = Json<Responses<O>[keyof Responses<O> & (200 | 201)]>;

// Trouble is what went wrong and what to do next. Status 0: the program did not answer.
export class Trouble extends Error {
  constructor(
    readonly status: number,
    readonly error: string,
    readonly hint: string,
    readonly fields: { field: string; error: string; keep?: string }[] = [],
  ) {
    super(error);
  }
  get offline(): boolean {
    return this.status === 0;
  }
}

// troubleOf makes a Trouble of whatever was thrown.
export function troubleOf(thrown: unknown): Trouble {
  if (thrown instanceof Trouble) {
    return thrown;
  }
  return new Trouble(-1, "The page made a mistake: " + (thrown instanceof Error ? thrown.message : String(thrown)), "Reload the page; what is on record is not touched.");
}

// aborted tells a request that the page itself gave up.
export function aborted(thrown: unknown): boolean {
  return thrown instanceof DOMException && thrown.name === "AbortError";
}

// newest makes the signals of questions of which only the last is wanted: each gives up the one before, so that no late answer
// stands in place of a newer one, and leaving the page gives up all.
export function newest(left: AbortSignal): () => AbortSignal {
  let last = new AbortController();
  left.addEventListener("abort", () => last.abort(), { once: true });
  return () => {
    last.abort();
    last = new AbortController();
    if (left.aborted) {
      last.abort();
    }
    return last.signal;
  };
}

const name = encodeURIComponent;
const silence = new Trouble(0, "The program does not answer.",
  "Nothing that you typed is lost; it stands here. Check the network between this tablet and the machine, then try again.");

async function ask(path: string, init: RequestInit = {}): Promise<Response> {
  let response: Response;
  try {
    response = await fetch("/api" + path, { cache: "no-store", ...init });
  } catch (thrown) {
    throw aborted(thrown) ? thrown : silence;
  }
  if (response.status === 401) {
    dispatchEvent(new Event("unpaired"));
  }
  if (!response.ok) {
    throw await refused(response);
  }
  return response;
}

async function refused(response: Response): Promise<Trouble> {
  try {
    const body = speaking((await response.json()) as Schemas["Trouble"]);
    return new Trouble(response.status, body.error, body.hint, body.fields ?? []);
  } catch {
    return new Trouble(response.status, `The program answered ${response.status} ${response.statusText}`.trim() + ".", "Try again; if it stays so, look at the terminal in which the program runs.");
  }
}

async function get<O extends keyof operations>(path: string, signal?: AbortSignal): Promise<Answer<O>> {
  return speaking(await (await ask(path, signal ? { signal } : {})).json() as Answer<O>);
}

async function send<O extends keyof operations>(method: string, path: string, body?: unknown, signal?: AbortSignal): Promise<Answer<O>> {
  const init: RequestInit = { method };
  if (body !== undefined) {
    init.body = JSON.stringify(body);
    init.headers = { "Content-Type": "application/json" };
  }
  if (signal) {
    init.signal = signal;
  }
  return speaking(await (await ask(path, init)).json() as Answer<O>);
}

async function filled(response: Response): Promise<Filled> {
  const file = (await response.json()) as Filled;
  return { ...file, etag: response.headers.get("ETag") ?? file.etag };
}

// judged asks again while a long record is being judged, and tells how far it is.
async function judged<O extends keyof operations>(path: string, progress: (share: number) => void, signal: AbortSignal): Promise<Answer<O>> {
  for (;;) {
    const response = await ask(path, { signal });
    if (response.status !== 202) {
      return speaking(await response.json() as Answer<O>);
    }
    progress(((await response.json()) as Schemas["Judging"]).progress);
    await pause(500, signal);
  }
}

function pause(milliseconds: number, signal: AbortSignal): Promise<void> {
  return new Promise((resolve, reject) => {
    const timer = setTimeout(resolve, milliseconds);
    signal.addEventListener("abort", () => {
      clearTimeout(timer);
      reject(new DOMException("the page was left", "AbortError"));
    }, { once: true });
  });
}

export const api = {
  standing: (signal?: AbortSignal) => get<"standing">("/door", signal),
  pair: (request: Schemas["PairRequest"]) => send<"pair">("POST", "/door", request),
  leave: () => send<"leave">("DELETE", "/door"),
  devices: (signal?: AbortSignal) => get<"devices">("/devices", signal),
  offer: (request: Schemas["OfferRequest"]) => send<"offer">("POST", "/devices", request),
  revoke: (id: string) => send<"revoke">("DELETE", `/devices/${name(id)}`),
  house: (signal?: AbortSignal) => get<"house">("/house", signal),
  form: (kind: Kind, signal?: AbortSignal) => get<"form">(`/forms/${kind}`, signal),
  readFile: async (kind: Kind, file: string, signal?: AbortSignal): Promise<Filled> =>
    filled(await ask(`/files/${kind}/${name(file)}`, signal ? { signal } : {})),
  // writeFile needs the ETag that was read; null is a file that is not there yet.
  writeFile: async (kind: Kind, file: string, values: Record<string, string>, etag: string | null): Promise<Filled> =>
    filled(await ask(`/files/${kind}/${name(file)}`, {
      method: "PUT",
      body: JSON.stringify({ values }),
      headers: { "Content-Type": "application/json", ...(etag === null ? { "If-None-Match": "*" } : { "If-Match": etag }) },
    })),
  plan: (request: Schemas["PlanRequest"], signal?: AbortSignal) => send<"plan">("POST", "/plan", request, signal),
  checkKinds: (signal?: AbortSignal) => get<"checkKinds">("/check-kinds", signal),
  checks: (record: string, signal?: AbortSignal) => get<"checks">(`/checks/${name(record)}`, signal),
  check: (record: string, request: Schemas["CheckRequest"]) => send<"check">("POST", `/checks/${name(record)}`, request),
  listen: (signal?: AbortSignal) => get<"listen">("/ports", signal),
  offers: (record: string, signal?: AbortSignal) => get<"offers">(`/checks/${name(record)}/offers`, signal),
  takeOver: (record: string, request: Schemas["TakeOverRequest"]) => send<"takeOver">("POST", `/checks/${name(record)}/offers`, request),
  before: (record: string, job: string, port: string, signal?: AbortSignal) => get<"before">(`/checks/${name(record)}/before?${search({ job, port: port || undefined })}`, signal),
  live: (signal?: AbortSignal) => get<"live">("/recording", signal),
  start: (request: Schemas["StartRequest"]) => send<"start">("POST", "/recording", request),
  stop: () => send<"stop">("DELETE", "/recording"),
  strip: (signal?: AbortSignal) => get<"strip">("/recording/strip", signal),
  bead: (signal?: AbortSignal) => get<"bead">("/live/bead", signal),
  seen: (alarms: Schemas["SeenRequest"]) => send<"seen">("POST", "/live/seen", alarms),
  liveNote: (note: Schemas["NoteRequest"]) => send<"liveNote">("POST", "/recording/notes", note),
  review: (record: string, progress: (share: number) => void, signal: AbortSignal) =>
    judged<"review">(`/records/${name(record)}`, progress, signal),
  passes: (record: string, from: number, progress: (share: number) => void, signal: AbortSignal) =>
    judged<"passPage">(`/records/${name(record)}/passes?from=${from}`, progress, signal),
  pass: (record: string, pass: number, progress: (share: number) => void, signal: AbortSignal) =>
    judged<"passAlone">(`/records/${name(record)}/passes/${pass}`, progress, signal),
  cell: (record: string, row: number, column: number, progress: (share: number) => void, signal: AbortSignal) =>
    judged<"cellAlone">(`/records/${name(record)}/cells/${row}/${column}`, progress, signal),
  events: (record: string, query: Record<string, string>, progress: (share: number) => void, signal: AbortSignal) =>
    judged<"eventPage">(`/records/${name(record)}/events?${search(query)}`, progress, signal),
  event: (record: string, number: number, query: Record<string, string>, progress: (share: number) => void, signal: AbortSignal) =>
    judged<"eventAlone">(`/records/${name(record)}/events/${number}?${search(query)}`, progress, signal),
  trace: (record: string, query: operations["trace"]["parameters"]["query"], signal?: AbortSignal) =>
    get<"trace">(`/records/${name(record)}/trace?${search(query)}`, signal),
  comparison: (record: string, query: operations["comparison"]["parameters"]["query"], progress: (share: number) => void, signal: AbortSignal) =>
    judged<"comparison">(`/records/${name(record)}/comparison?${search(query)}`, progress, signal),
  entries: (record: string, signal?: AbortSignal) => get<"entries">(`/records/${name(record)}/entries`, signal),
  enter: (record: string, entry: EntryRequest) => send<"enter">("POST", `/records/${name(record)}/entries`, entry),
  addPhotograph: async (record: string, picture: Blob): Promise<Schemas["PhotographKept"]> =>
    (await ask(`/records/${name(record)}/photographs`, { method: "POST", body: picture, headers: { "Content-Type": picture.type } })).json() as Promise<Schemas["PhotographKept"]>,
  photograph: (record: string, sha256: string) => `/api/records/${name(record)}/photographs/${sha256}`,
  note: (record: string, note: Schemas["NoteRequest"]) => send<"note">("POST", `/records/${name(record)}/notes`, note),
  file: (record: string, form: string, query: Record<string, string> = {}) => {
    const tail = search(query);
    return `/api/records/${name(record)}/file/${form}${tail ? "?" + tail : ""}`;
  },
  allJobs: (question: string, query: Record<string, string | number | undefined>, progress: (share: number) => void, signal: AbortSignal) =>
    judged<"allJobs">(`/fleet/${name(question)}?${search(query)}`, progress, signal),
  integrity: (record: string, signal?: AbortSignal) => get<"integrity">(`/records/${name(record)}/integrity`, signal),
};

function search(query: Record<string, string | number | undefined>): string {
  const parts = new URLSearchParams();
  for (const [key, value] of Object.entries(query)) {
    if (value !== undefined) {
      parts.set(key, String(value));
    }
  }
  return parts.toString();
}
