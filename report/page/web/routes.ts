// Which address is which page. A page is made by a function of the parts of its address.
import { h } from "./base/dom";
import type { Page } from "./base/page";
import { devicesPage } from "./door/devices";
import { allJobsPage } from "./fleet/alljobs";
import { formPage } from "./setup/form";
import { homePage } from "./setup/home";
import { eventPage } from "./review/event";
import { inspectPage } from "./review/inspect";
import { livePage } from "./live/live";
import { overlayPage } from "./review/overlay";
import { passPage } from "./review/pass";
import { parted } from "./review/passlink";
import { reviewPage } from "./review/review";
import { paperPage } from "./review/paper";
import { planPage } from "./setup/planpage";
import { checksPage } from "./setup/checks";

// pageFor finds the page: #/record/NAME/inspect has the parts record, NAME, inspect.
export function pageFor(parts: string[]): Page {
  const [first, name, third] = parts;
  switch (first) {
    case undefined: return homePage();
    case "live": return livePage();
    case "devices": return devicesPage();
    case "jobs": return allJobsPage(...parted(name));
    case "job": return formPage("job", name);
    case "procedure": return formPage("procedure", name);
  }
  if (name === undefined) {
    return lost();
  }
  switch (first) {
    case "plan": return planPage(name);
    case "checks": return checksPage(name, third);
    case "record": return recordPage(name, third, parts[3]);
  }
  return lost();
}

function recordPage(record: string, part: string | undefined, pass: string | undefined): Page {
  switch (parted(part)[0]) {
    case "": return reviewPage(record);
    case "pass": return passPage(record, pass);
    case "overlay": return overlayPage(record, part);
    case "inspect": return inspectPage(record, part);
    case "event": return eventPage(record, pass);
    case "paper": return paperPage(record);
  }
  return lost();
}

function lost(): Page {
  return {
    title: "There is no such page",
    render: (root) => root.append(h("p", {}, h("a", { class: "button go", href: "#/" }, "Home"))),
    leave: () => undefined,
  };
}
