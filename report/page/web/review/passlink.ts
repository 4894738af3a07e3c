// Addresses of passes and overlays. What stands behind the question mark says where to begin.
import { link } from "../base/page";

export function passLink(record: string, pass: number, where: Record<string, string> = {}): string {
  return link("record", record, "pass", pass) + question(where);
}

export function overlayLink(record: string, pass?: number, other?: number): string {
  const where: Record<string, string> = {};
  if (pass !== undefined) {
    where["pass"] = String(pass);
  }
  if (other !== undefined) {
    where["with"] = String(other);
  }
  return link("record", record, "overlay") + question(where);
}

function question(where: Record<string, string>): string {
  const tail = new URLSearchParams(where).toString();
  return tail ? `?${tail}` : "";
}

// parted splits what stands in an address into its name and what is asked of it.
export function parted(part: string | undefined): [string, URLSearchParams] {
  const [name, tail] = (part ?? "").split("?");
  return [name ?? "", new URLSearchParams(tail ?? "")];
}
