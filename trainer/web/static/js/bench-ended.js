// The observation has ended. What this device still keeps of it is shown, and goes by the person's own hand.
import { drop as dropPhotograph, kept, photographs, small } from "./bench-photo-store.js";
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

const pictured = document.getElementById("left-photographs");
const late = await kept(pictured.dataset.keep);
if (late.length) {
  pictured.querySelector("p").textContent = `${photographs(late.length)} on this device came too late to be part of this observation.`;
  for (const one of late) {
    const item = document.createElement("li");
    const words = document.createElement("span");
    words.className = "small";
    words.textContent = one.words;
    item.append(await small(one), words);
    pictured.querySelector("ul").append(item);
  }
  pictured.hidden = false;
  pictured.querySelector("button").addEventListener("click", async () => {
    await Promise.all(late.map((one) => dropPhotograph(one.ticket)));
    pictured.hidden = true;
  });
}
