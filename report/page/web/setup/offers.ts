// Checks that were made today with the same box for another record: offered to be touched, never taken over in silence.
import { api, troubleOf, type Schemas } from "../base/api";
import { fill, h, type Child } from "../base/dom";
import { troubleBox, waitBox } from "../base/notice";
import { person } from "../base/prefs";
import { whoLine } from "../base/who";
import { icon } from "../base/state";
import { lasting } from "../base/time";
import { say } from "../base/toast";

type Offer = Schemas["OfferList"]["offers"][number];
type Check = Schemas["SetUpCheck"];

// offersSection looks for offers when it is asked to. place tells job and record at that moment; done is called when one is on record.
export function offersSection(place: () => { job: string; record: string }, done: () => void): HTMLElement {
  const list = h("div", { "aria-live": "polite" });
  const answer = h("div");
  const look = async () => {
    fill(list, waitBox("Looking into the other records …"));
    try {
      const found = await api.offers(place().record);
      fill(list, found.offers.length === 0 ? h("p", {}, "No check of another record can be taken over.") : h("ul", { class: "strips" }, found.offers.map((offer) => row(offer))),
        found.refused.length === 0 ? null : h("details", {}, h("summary", {}, "Not offered, and why"),
          h("ul", {}, found.refused.map((one) => h("li", {}, one.from, one.number > 0 ? ` check ${one.number}, ${one.title}` : "", `: ${one.why}`)))));
    } catch (thrown) {
      fill(list, troubleBox(troubleOf(thrown)));
    }
  };
  const take = async (offer: Offer) => {
    try {
      const { job, record } = place();
      await api.takeOver(record, { job, from: offer.from, number: offer.number, by: person.get() });
      fill(answer);
      say(`${offer.check.check}: taken over into ${record}.`);
      done();
      await look();
    } catch (thrown) {
      fill(answer, troubleBox(troubleOf(thrown)));
    }
  };
  const row = (offer: Offer): HTMLElement => h("li", { class: "strip" },
    h("span", { class: "eye" }, icon("done")),
    h("div", {}, h("h3", { class: "name" }, offer.check.check, offer.check.channel ? ` of ${offer.check.channel}` : ""),
      h("p", {}, `made ${lasting(offer.age_s)} ago by ${offer.check.by}, with box ${offer.check.box ?? "—"}, for ${offer.from}`),
      h("p", { class: "muted" }, offer.check.sentence)),
    h("div", { class: "acts" }, h("button", { type: "button", "data-needs": "operate", onclick: () => void take(offer) }, "Take it over", h("span", { class: "unseen" }, ` ${offer.check.check} ${offer.check.channel ?? ""}`))));
  return h("section", { class: "plate", "aria-labelledby": "offers-head" }, h("h2", { id: "offers-head" }, "Made today for another record"),
    h("p", { class: "help" }, "A check of the same box may be taken over, with its figures, its age and who made it."), whoLine(),
    h("div", { class: "buttons" }, h("button", { type: "button", onclick: () => void look() }, "Look for checks of the same box")), list, answer);
}

// whose says which box a check was made with, and where, if it was taken over.
export function whose(check: Check): Child {
  const box = check.box ? (check.box.startsWith("port ") ? `bound to ${check.box}, because the box has no serial` : `bound to box ${check.box}`) : check.channel ? "of no named box" : null;
  const from = check.taken_over_from;
  const taken = from ? `taken over from check ${from.number} of ${from.record}, made ${lasting((Date.parse(from.at) - Date.parse(check.done)) / 1000)} before, by ${from.by}` : null;
  const words = [box, taken].filter((one) => one !== null).join("; ");
  return words === "" ? null : h("span", { class: "muted" }, words, h("br"));
}
