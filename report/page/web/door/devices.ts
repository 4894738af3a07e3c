// The devices that may come in: who they are, a code for another one, and the way out.
import { api, aborted, troubleOf, type Schemas } from "../base/api";
import { askDialog } from "../base/dialog";
import { roleWords } from "../base/door";
import { fill, h, type Child } from "../base/dom";
import { again, noteBox, troubleBox, waitBox } from "../base/notice";
import type { Page } from "../base/page";
import { icon, stateMark } from "../base/state";
import { when } from "../base/time";
import { say } from "../base/toast";

type Offer = Schemas["Offer"];

export function devicesPage(): Page {
  let timer: ReturnType<typeof setInterval> | undefined;
  return {
    title: "Devices",
    trail: [{ text: "Jobs and records", href: "#/" }],
    render: async (root, signal) => {
      fill(root, waitBox("Asking the machine …"));
      const list = h("div");
      const shown = h("div", { "aria-live": "polite" });
      const ask = async () => {
        try {
          const all = await api.devices(signal);
          if (!all.network) {
            fill(root, noteBox(h("p", {}, "These pages are for this machine alone, and need no pairing here. To let tablets in, start the program with: arctally serve --listen :8470")));
            return;
          }
          fill(list, table(all, ask));
          fill(root, h("section", { class: "plate", "aria-labelledby": "offer-head" }, h("h2", { id: "offer-head" }, "Let a device in"), begin(all.address),
            h("p", {}, "Then choose what it may do, and type the code there. A new code makes the one before void."),
            h("div", { class: "buttons" }, (Object.keys(roleWords) as (keyof typeof roleWords)[]).map((role) =>
              h("button", { type: "button", class: role === "operate" ? "go big" : "big", "data-needs": "manage", onclick: () => void offer(role) }, `${role}: ${roleWords[role]}`))), shown),
            h("section", { "aria-labelledby": "devices-head" }, h("h2", { id: "devices-head" }, "Let in"), list));
        } catch (thrown) {
          if (!aborted(thrown)) {
            fill(root, troubleBox(troubleOf(thrown), again(ask)));
          }
        }
      };
      const offer = async (role: keyof typeof roleWords) => {
        clearInterval(timer);
        try {
          const made = await api.offer({ role });
          timer = showCode(shown, made, ask);
        } catch (thrown) {
          fill(shown, troubleBox(troubleOf(thrown)));
        }
      };
      await ask();
    },
    leave: () => clearInterval(timer),
  };
}

function begin(address: string): Child {
  return address === "" ? null : h("p", {}, "On the tablet open ", h("strong", {}, address), ". The first time it has to fetch the authority of this machine: the terminal shows how, and the fingerprint to hold against it.");
}

// showCode shows a code for as long as it holds, and looks whether it was used.
function showCode(shown: HTMLElement, made: Offer, used: () => Promise<void>): ReturnType<typeof setInterval> {
  let left = made.seconds;
  const count = h("span");
  fill(shown, h("p", { class: "pair-code" }, made.code), h("p", {}, `It lets one device in, which may then ${made.role}: ${roleWords[made.role as keyof typeof roleWords]}. It holds for `, count, "."));
  const draw = () => fill(count, left >= 60 ? `${Math.ceil(left / 60)} min` : `${left} s`);
  draw();
  const timer = setInterval(async () => {
    left--;
    draw();
    const over = left <= 0 || left % 2 === 0 && (await api.standing().catch(() => null))?.open_for === 0;
    if (over) {
      clearInterval(timer);
      fill(shown, h("p", {}, stateMark("done", left <= 0 ? "The code holds no longer." : "The code was used, or is void. Look below who came in.")));
      void used();
    }
  }, 1000);
  return timer;
}

function table(all: Schemas["DeviceList"], changed: () => Promise<void>): Child {
  if (all.devices.length === 0) {
    return h("p", { class: "muted" }, "No device was let in yet.");
  }
  return h("ul", { class: "strips" }, all.devices.map((device) => h("li", { class: "strip" },
    h("span", { class: "eye" }, icon(device.seen ? "good" : "idle")),
    h("div", {}, h("div", { class: "name" }, device.name, device.this ? " (this one)" : ""),
      h("div", { class: "facts" }, h("span", {}, `may ${device.role}`), h("span", {}, "let in ", when(device.paired)), h("span", {}, "until ", when(device.expires)),
        h("span", {}, device.seen ? ["last here ", when(device.seen)] : "not here since the program began"))),
    h("div", { class: "acts" }, h("button", { type: "button", class: "stop", "data-needs": "manage", onclick: () => void shut(device, changed) }, "Shut out", h("span", { class: "unseen" }, ` ${device.name}`))))));
}

async function shut(device: Schemas["DeviceRow"], changed: () => Promise<void>): Promise<void> {
  const sure = await askDialog(`Shut out ${device.name}?`, () => h("p", {}, "It sees nothing from then on, until it is paired again. What was done there stays on record. A recording goes on."),
    [{ text: "Shut out", value: true, kind: "stop" }, { text: "Leave it", value: false }]);
  if (sure) {
    await api.revoke(device.id).catch((thrown: unknown) => say(troubleOf(thrown).error));
    await changed();
  }
}
