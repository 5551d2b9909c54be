// Before the signature: an order that was moved has to be looked at again, and marks still on this device are told.
import { read, times, unsent } from "./bench-store.js";

document.querySelector(".close-form").addEventListener("answer-changed", () => {
  document.getElementById("verdict").hidden = true;
  document.getElementById("moved").hidden = false;
});

const waits = document.getElementById("waits");
const left = unsent(read(waits.dataset.keep)).length;
if (left) {
  waits.textContent = `${times(left)} of this observation wait on this device and are not part of it yet. Go back to the marks, where they are sent.`;
  waits.hidden = false;
}
