// Who this device is to the machine, and what it may do. What it may not is shown, told why, and not asked for.
import { api, troubleOf, type Schemas } from "./api";
import { askDialog } from "./dialog";
import { h, type Child } from "./dom";
import { say } from "./toast";

export type Role = Schemas["Role"];
export type Standing = Schemas["Standing"];

export const roleWords: Record<Exclude<Role, "">, string> = {
  look: "sees everything, changes nothing",
  operate: "starts and stops, takes notes, makes checks, writes jobs",
  inspect: "decides on what was found",
  manage: "does everything, and lets others in",
};

let standing: Standing | null = null;

// learn asks the machine who this device is.
export async function learn(): Promise<Standing> {
  take(await api.standing());
  return standing!;
}

export function take(now: Standing): void {
  standing = now;
  const may = now.role === "manage" ? ["look", "operate", "inspect", "manage"] : [now.role];
  document.documentElement.dataset["may"] = may.join(" ");
}

// may tells whether this device may do what needs one of these roles.
export const may = (needs: string) => needs.split(" ").some((role) => (document.documentElement.dataset["may"] ?? "manage").split(" ").includes(role));

// guardActs keeps a touch away from what this device may not do, and says why.
export function guardActs(): void {
  document.addEventListener("click", (event) => {
    const act = (event.target as Element | null)?.closest("[data-needs]");
    if (act && !may(act.getAttribute("data-needs")!)) {
      event.preventDefault();
      event.stopImmediatePropagation();
      say(`This device may ${standing?.role ?? "do nothing yet"}. That needs a device that may ${act.getAttribute("data-needs")!.replace(" ", " or ")}, or the machine itself.`, "caution");
    }
  }, true);
}

// doorLine says on the first page who this device is; nothing where nobody else can come.
export function doorLine(): Child {
  const me = standing;
  if (me === null || !me.network) {
    return null;
  }
  const leave = async () => {
    if (await askDialog("Forget this device?", () => h("p", {}, "The machine lets it in again only with another code."), [{ text: "Forget it", value: true, kind: "stop" }, { text: "Leave it", value: false }])) {
      await api.leave().catch((thrown: unknown) => say(troubleOf(thrown).error));
      location.reload();
    }
  };
  return h("div", { class: "facts" }, me.here ? h("span", {}, "At the machine itself") : h("span", {}, "This is ", h("strong", {}, me.device), `: it may ${me.role}`),
    me.role === "manage" ? h("a", { class: "button", href: "#/devices" }, "Devices") : null,
    me.here ? null : h("button", { type: "button", onclick: () => void leave() }, "Forget this device"));
}
