// Before the signature: an order that was moved has to be looked at again, and marks still on this device are told.
import { kept, photographs } from "./bench-photo-store.js";
import { read, unsent, waiting } from "./bench-store.js";

document.querySelector(".close-form").addEventListener("answer-changed", () => {
  document.getElementById("verdict").hidden = true;
  document.getElementById("moved").hidden = false;
});

const waits = document.getElementById("waits");
const left = unsent(read(waits.dataset.keep)).length;
if (left) {
  waits.textContent = `${waiting(left)} and ${left === 1 ? "is" : "are"} not part of this observation yet. Go back to the marks; from there ${left === 1 ? "it is" : "they are"} sent.`;
  waits.hidden = false;
}

const still = (await kept(waits.dataset.keep)).length;
if (still) {
  const told = document.getElementById("photographs-wait");
  told.textContent = `${photographs(still)} on this device ${still === 1 ? "is" : "are"} not part of this observation. Go back to the marks; there ${still === 1 ? "it is" : "they are"} sent or thrown away.`;
  told.hidden = false;
}
