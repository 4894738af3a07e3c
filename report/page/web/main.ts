// The way in: the shell, and the page that the address asks for.
import "./app.css";
import { guardActs, learn } from "./base/door";
import { connect } from "./base/events";
import type { Page } from "./base/page";
import { showTheme } from "./base/prefs";
import { bare, frame, show } from "./base/shell";
import { pairPage } from "./door/pair";
import { pageFor } from "./routes";

let now: { page: Page; stop: AbortController } | null = null;
let stranger = false;

function go(): void {
  const first = now === null;
  now?.stop.abort();
  now?.page.leave();
  const page = stranger ? pairPage(begin) : pageFor(parts());
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

// begin shows the pages to who may see them; whoever may not is asked for a code.
async function begin(): Promise<void> {
  const me = await learn().catch(() => null); // a machine that does not answer is said on every page
  stranger = me?.role === "";
  if (stranger) {
    bare();
  } else if (!framed) {
    framed = true;
    frame();
    connect();
  }
  go();
}

let framed = false;

addEventListener("unpaired", () => {
  if (framed && !stranger) {
    location.reload(); // nothing of what was shown stays on the screen
  }
});
addEventListener("hashchange", go);
showTheme();
guardActs();
void begin();
