// Pointing at the drawing: a tap on a number puts it to the name that is asked for, and the next name comes.
// The rows below stay the answer; the drawing shows which numbers are taken.

import { usable } from "./controls.js";

const form = document.querySelector("form.answer");
const at = document.getElementById("point-at");
const rows = [...form.querySelectorAll(".point-row")];
const words = [...form.querySelectorAll("ol[aria-label=Places] li")].map((li) => li.textContent);
const drawings = [...document.querySelectorAll(".points svg")];
const name = (row) => row.querySelector("legend").textContent;
const place = (row) => row.querySelector("input:checked")?.value;
let asked = rows[0];

function show(told = "") {
  for (const row of rows) row.classList.toggle("asked-now", row === asked);
  if (at) at.textContent = `${told}${asked ? `Point at: ${name(asked)}` : "All are placed. Tap a number again to take it back."}`;
  for (const control of document.querySelectorAll(".points [data-control]")) {
    const number = control.dataset.control;
    const taken = rows.filter((row) => place(row) === number).map(name);
    control.classList.toggle("chosen", taken.length > 0);
    control.setAttribute("aria-label", `Number ${number}: ${words[number - 1]}${taken.length ? `, taken for: ${taken.join(", ")}` : ""}`);
  }
}

const next = () => rows.find((row) => !place(row));

function tap(number) {
  const holder = rows.find((row) => place(row) === number);
  if (holder && (!asked || place(asked))) {
    // Nothing else is asked for: the number is taken back from its name.
    holder.querySelector("input:checked").checked = false;
    asked = holder;
    show();
  } else if (asked) {
    const was = asked;
    was.querySelector(`input[value="${number}"]`).checked = true;
    asked = next();
    show(`${name(was)}: ${number}. `);
  }
  form.dispatchEvent(new CustomEvent("answer-changed"));
}

for (const svg of drawings) {
  svg.removeAttribute("aria-hidden");
  svg.setAttribute("role", "group");
  svg.setAttribute("aria-label", "The machine in section, with numbers to point at");
  for (const control of svg.querySelectorAll("[data-control]")) control.setAttribute("role", "button");
  usable(svg, tap);
}

function begin() {
  asked = next();
  show();
}

form.addEventListener("input", begin);
form.addEventListener("put-back", begin);
form.addEventListener("focusin", (event) => {
  const row = event.target.closest(".point-row");
  if (row && row !== asked) { asked = row; show(); }
});
if (at) at.hidden = false;
begin();
