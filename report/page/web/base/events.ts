// The one stream of events from the program, which all pages share. It comes back by itself, and says since when there was no news.
import { api, type Bead, type House, type Live, type Strip } from "./api";
import { speaking } from "./sentences";

interface Bodies {
  live: Live;
  strip: Strip;
  bead: Bead; // what is new of it
  house: House;
  restart: null; // what was missed is not kept: ask anew for whatever is shown
}
type Kind = keyof Bodies;

export interface Connection {
  state: "good" | "reconnecting";
  lastNews: Date | null; // when the program was heard last
}

const kinds: Kind[] = ["live", "strip", "bead", "house", "restart"];
const listeners: { [K in Kind]: Set<(body: Bodies[K]) => void> } = { live: new Set(), strip: new Set(), bead: new Set(), house: new Set(), restart: new Set() };
const watchers = new Set<(connection: Connection) => void>();

let source: EventSource | null = null;
let connection: Connection = { state: "reconnecting", lastNews: null };
let retry: ReturnType<typeof setTimeout> | undefined;
let wait = 1000; // ms
let opened = false;
let recording = false; // then news come several times a second
let probing = false;

const patience = { recording: 4000, idle: 20_000 }; // ms without news

// onEvent calls back with every event of a kind; the answer ends that.
export function onEvent<K extends Kind>(kind: K, listener: (body: Bodies[K]) => void): () => void {
  listeners[kind].add(listener);
  return () => listeners[kind].delete(listener);
}

// onConnection calls back at once, and whenever the connection changes.
export function onConnection(watcher: (connection: Connection) => void): () => void {
  watchers.add(watcher);
  watcher(connection);
  return () => watchers.delete(watcher);
}

function become(state: Connection["state"], news: boolean): void {
  const changed = state !== connection.state;
  connection = { state, lastNews: news ? new Date() : connection.lastNews };
  if (changed) {
    for (const watcher of [...watchers]) {
      watcher(connection);
    }
  }
}

function hand<K extends Kind>(kind: K, body: Bodies[K]): void {
  for (const listener of [...listeners[kind]]) {
    listener(body);
  }
}

function open(): void {
  clearTimeout(retry);
  source?.close();
  const mine = new EventSource("/api/events");
  source = mine;
  let ignorant = opened; // a new stream knows nothing of the old one; one that comes back by itself is told what it missed
  mine.onopen = () => {
    wait = 1000;
    become("good", true);
    if (ignorant) {
      ignorant = false;
      hand("restart", null);
    }
    opened = true;
  };
  mine.onerror = () => {
    become("reconnecting", false);
    if (mine.readyState === EventSource.CLOSED && mine === source) {
      void api.live().catch(() => undefined); // a stream does not say why it was refused: perhaps this device was shut out
      retry = setTimeout(open, wait);
      wait = Math.min(2 * wait, 10_000);
    }
  };
  for (const kind of kinds) {
    mine.addEventListener(kind, (event) => {
      become("good", true);
      hand(kind, kind === "restart" ? null : speaking(JSON.parse((event as MessageEvent<string>).data)));
    });
  }
}

// connect opens the stream once, and again whenever the tablet slept or the network came back.
export function connect(): void {
  open();
  onEvent("live", (live) => {
    recording = records(live);
  });
  setInterval(() => void watch(), 1000);
  let hidden = 0;
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "hidden") {
      hidden = Date.now();
    } else if (Date.now() - hidden > 3000) {
      again();
    }
  });
  addEventListener("pageshow", (event) => {
    if (event.persisted) {
      again();
    }
  });
  addEventListener("online", again);
  addEventListener("offline", () => become("reconnecting", false));
}

// records tells whether a recording is under way, which says several times a second how it stands.
function records(live: Live | null): boolean {
  return live?.phase === "waiting" || live?.phase === "recording";
}

// watch notices a network that lets nothing through and closes nothing. A recording that falls silent says enough; where
// nothing is recorded the program is asked.
async function watch(): Promise<void> {
  const quiet = Date.now() - (connection.lastNews?.getTime() ?? 0);
  if (connection.state !== "good" || quiet <= (recording ? patience.recording : patience.idle)) {
    return;
  }
  if (recording) {
    again();
    return;
  }
  if (probing || document.visibilityState === "hidden") {
    return;
  }
  probing = true;
  try {
    const now = await api.live(AbortSignal.timeout(4000));
    become("good", true);
    if (records(now)) {
      again(); // it records, and its stream does not say so
    }
  } catch {
    again();
  } finally {
    probing = false;
  }
}

// again trusts nothing that is on the screen until the program was heard.
function again(): void {
  become("reconnecting", false);
  open();
}
