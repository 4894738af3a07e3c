// Photographs of an entry, to be taken and on record. The machine writes them anew, and keeps their dots alone; one that is too large is told so before it is sent.
import { api, Trouble, type Schemas } from "../base/api";
import { fill, h, uid, type Child } from "../base/dom";
import { icon } from "../base/state";
import type { PhotographRow } from "./rows";

const most = 16 * 2 ** 20; // bytes that a record takes in one photograph
const offerFrom = 10 * 1000 ** 2; // from here on a smaller one is offered
const smallSide = 3000; // pixels of the longer side of a smaller one
const captionMost = 100;
const types = ["image/jpeg", "image/png"];

interface Photo {
  blob: Blob;
  caption: string;
  sha256: string | null; // once it is on record
  url: string;
}

export interface PhotoTray {
  element: HTMLElement;
  // send puts on record what is not there yet, and gives what an entry names them by.
  send(record: string): Promise<{ sha256: string; caption?: string }[]>;
  clear(): void;
}

const trays = new Map<string, Photo[]>(); // they stay while one goes to another page and back

// photoTray takes photographs; name is what they belong to.
export function photoTray(name: string): PhotoTray {
  const photos = trays.get(name) ?? [];
  trays.set(name, photos);
  const list = h("ul", { class: "photos" });
  const words = h("p", { role: "status", class: "muted" });
  const draw = () => fill(list, photos.map((photo) => row(photo, draw, () => {
    photos.splice(photos.indexOf(photo), 1);
    URL.revokeObjectURL(photo.url);
    draw();
  })));
  const take = (event: Event) => {
    const input = event.target as HTMLInputElement;
    const files = [...(input.files ?? [])];
    for (const file of files.filter((one) => types.includes(one.type))) {
      photos.push({ blob: file, caption: "", sha256: null, url: URL.createObjectURL(file) });
    }
    const others = files.filter((one) => !types.includes(one.type));
    words.textContent = others.length > 0 ? `${others.map((one) => one.name).join(", ")}: a record takes photographs as JPEG or PNG only.` : "";
    input.value = "";
    draw();
  };
  draw();
  return {
    element: h("fieldset", {}, h("legend", {}, "Photographs"),
      h("div", { class: "buttons" }, picker("Take a photograph", true, take), picker("Choose pictures", false, take)),
      h("p", { class: "muted" }, "The picture is kept, and not when, where and by what it was taken."), words, list),
    send: async (record) => {
      const sent: { sha256: string; caption?: string }[] = [];
      for (const photo of photos) {
        if (photo.blob.size > most) {
          throw new Trouble(413, `A photograph has ${megabytes(photo.blob.size)}; a record takes ${megabytes(most)} at most.`, "Make it smaller with the button beside it, or take it out. Everything else stays as it is.");
        }
        photo.sha256 ??= (await api.addPhotograph(record, photo.blob) as Schemas["PhotographKept"]).sha256;
        sent.push({ sha256: photo.sha256, ...(photo.caption ? { caption: photo.caption } : {}) });
      }
      return sent;
    },
    clear: () => {
      photos.forEach((photo) => URL.revokeObjectURL(photo.url));
      photos.length = 0;
      draw();
    },
  };
}

function picker(words: string, camera: boolean, take: (event: Event) => void): HTMLElement {
  return h("label", { class: "button picker", "data-needs": "inspect" }, words,
    h("input", { type: "file", class: "unseen", accept: types.join(","), capture: camera ? "environment" : null, multiple: !camera, onchange: take }));
}

function row(photo: Photo, draw: () => void, remove: () => void): HTMLElement {
  const id = uid("caption");
  const large = photo.blob.size > offerFrom && photo.sha256 === null;
  const tooLarge = photo.blob.size > most;
  const smaller: HTMLButtonElement = h("button", { type: "button", class: tooLarge ? "go" : "", onclick: async () => {
    smaller.disabled = true;
    await shrink(photo);
    draw();
  } }, "Make it smaller");
  return h("li", { class: "photo" }, h("img", { src: photo.url, alt: photo.caption || "photograph to be put on record" }),
    h("div", {},
      h("p", {}, megabytes(photo.blob.size), photo.blob.type === "image/png" ? ", PNG" : ", JPEG", photo.sha256 ? ", on record" : ""),
      tooLarge ? h("p", { class: "wrong" }, icon("outside"), h("span", {}, `Too large: a record takes ${megabytes(most)} at most. It was not sent.`)) : null,
      large ? h("p", { class: "muted" }, `Smaller: at most ${smallSide} pixels a side, JPEG; the caption will say so.`) : null,
      h("div", { class: "field" }, h("label", { for: id }, "Caption"), h("input", {
        id, type: "text", class: "text", maxlength: captionMost, value: photo.caption,
        oninput: (event: Event) => { photo.caption = (event.target as HTMLInputElement).value; },
      })),
      h("div", { class: "buttons" }, large ? smaller : null, h("button", { type: "button", onclick: remove }, "Take it out"))));
}

// shrink makes a smaller JPEG of a photograph; the caption says what was done.
async function shrink(photo: Photo): Promise<void> {
  const picture = await createImageBitmap(photo.blob);
  const scale = Math.min(1, smallSide / Math.max(picture.width, picture.height));
  const canvas = h("canvas", { width: Math.round(picture.width * scale), height: Math.round(picture.height * scale) });
  canvas.getContext("2d")?.drawImage(picture, 0, 0, canvas.width, canvas.height);
  const blob = await new Promise<Blob | null>((resolve) => canvas.toBlob(resolve, "image/jpeg", 0.9));
  if (!blob || blob.size >= photo.blob.size) {
    return;
  }
  URL.revokeObjectURL(photo.url);
  const said = ` (made smaller, ${canvas.width} x ${canvas.height})`;
  photo.caption = photo.caption.slice(0, captionMost - said.length) + said;
  photo.blob = blob;
  photo.url = URL.createObjectURL(blob);
}

function megabytes(bytes: number): string {
  return bytes < 2 ** 19 ? `${Math.ceil(bytes / 1024)} KiB` : `${(bytes / 2 ** 20).toFixed(1)} MiB`;
}

// photographs shows those that are on record.
export function photographs(record: string, rows: PhotographRow[] | undefined): Child {
  return !rows || rows.length === 0 ? null : h("ul", { class: "shown-photos" }, rows.map((row, k) => h("li", {},
    h("a", { href: api.photograph(record, row.sha256), target: "_blank", rel: "noopener" },
      h("img", { src: api.photograph(record, row.sha256), alt: row.caption ?? `photograph ${k + 1}`, loading: "lazy" })), row.caption)));
}
