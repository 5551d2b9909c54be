// The observation has ended. What this device still keeps of it is shown, and goes by the person's own hand.
import { drop, read, times, unsent } from "./bench-store.js";

const box = document.getElementById("left");
const left = unsent(read(box.dataset.keep));
if (left.length) {
  box.querySelector("p").textContent = `${times(left.length)} on this device came too late to be part of this observation.`;
  for (const entry of left) {
    const item = document.createElement("li");
    item.textContent = [entry.at.slice(0, 16).replace("T", " "), entry.words, entry.mark || "taken back", entry.note].filter(Boolean).join(", ");
    box.querySelector("ul").append(item);
  }
  box.hidden = false;
  box.querySelector("button").addEventListener("click", () => { drop(box.dataset.keep); box.hidden = true; });
} else {
  drop(box.dataset.keep);
}
