// The way in: the shell, and the page that the address asks for.
import "./app.css";
import { connect } from "./base/events";
import type { Page } from "./base/page";
import { showTheme } from "./base/prefs";
import { frame, show } from "./base/shell";
import { pageFor } from "./routes";

let now: { page: Page; stop: AbortController } | null = null;

function go(): void {
  const first = now === null;
  now?.stop.abort();
  now?.page.leave();
  const page = pageFor(parts());
  now = { page, stop: new AbortController() };
  show(page, now.stop.signal, !first);
}

// parts are what stands between the slashes of the address.
function parts(): string[] {
  return location.hash.replace(/^#\/?/, "").split("/").filter((part) => part !== "").map((part) => {
    try {
      return decodeURIComponent(part);
    } catch {
      return part;
    }
  });
}

showTheme();
frame();
connect();
addEventListener("hashchange", go);
go();
