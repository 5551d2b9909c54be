// Places in a drawing tapped in their order: each tap puts its line next, a tap on the last one takes it back.
// The lines below stay the answer; the drawing shows how far their order has been tapped.

import { usable } from "./controls.js";

const form = document.querySelector("form.answer");
const drawings = [...document.querySelectorAll(".taps svg")];
const said = document.getElementById("said");
const FOUR = 4;
const SVG = "http://www.w3.org/2000/svg";

const first = form.readAnswer(); // as asked: what is not taken yet stays in this order
const names = new Map(
  [...form.querySelectorAll("ol.lines li")].map((li) => [li.querySelector("[name=line]").value, li.querySelector(".do").textContent]),
);
const details = new Map(
  [...form.querySelectorAll("ol.lines li")].map((li) => [li.querySelector("[name=line]").value, li.querySelector(".small")?.textContent ?? ""]),
);
let taken = 0;

// Lines that were moved by hand or put back from the device count as taken up to the last one out of place.
function leastTaken(order) {
  let rest = order.length;
  while (rest > 0 && (rest === order.length || first.indexOf(order[rest - 1]) < first.indexOf(order[rest]))) rest -= 1;
  return rest;
}

const places = (drawing) => [...drawing.querySelectorAll("[data-control]")];

function take(id) {
  const order = form.readAnswer();
  const at = order.indexOf(id);
  if (at >= 0 && at < taken - 1) {
    said.textContent = `${names.get(id)} is turn ${at + 1} already. Tap ${names.get(order[taken - 1])} to take the last one back.`;
    return;
  }
  const back = at === taken - 1;
  const kept = order.slice(0, back ? taken - 1 : taken);
  if (!back) kept.push(id);
  taken = kept.length;
  form.writeAnswer([...kept, ...first.filter((other) => !kept.includes(other))]);
  form.dispatchEvent(new CustomEvent("answer-changed"));
  if (back) said.textContent = `${names.get(id)} taken back. ${taken} of ${first.length} in order.`;
  else said.textContent = `${names.get(id)} is turn ${taken} of ${first.length}.${taken === first.length ? " All are in order." : ""}`;
}

function show() {
  const order = form.readAnswer();
  taken = Math.max(taken, leastTaken(order));
  for (const drawing of drawings) {
    const spots = [];
    for (const place of places(drawing)) {
      const turn = order.indexOf(place.dataset.control) + 1;
      const is = turn > 0 && turn <= taken;
      place.classList.toggle("chosen", is);
      place.querySelector(".turn").textContent = is ? turn : "";
      const target = place.querySelector(".target");
      if (is) spots[turn - 1] = [target.cx.baseVal.value, target.cy.baseVal.value];
      place.setAttribute("aria-pressed", String(is));
      const where = `${names.get(place.dataset.control)}, ${details.get(place.dataset.control)}`;
      place.setAttribute("aria-label", is ? `${where}, turn ${turn}` : where);
    }
    drawing.querySelector(".trace")?.remove();
    const line = spots.slice(Math.max(0, taken - FOUR));
    if (line.length > 1) drawing.insertBefore(trace(line), places(drawing)[0]);
  }
}

// The last four, joined; all of them together would hide the places.
function trace(spots) {
  const line = document.createElementNS(SVG, "polyline");
  line.setAttribute("points", spots.map((spot) => spot.join(",")).join(" "));
  line.setAttribute("class", "onward trace");
  return line;
}

for (const drawing of drawings) {
  drawing.removeAttribute("aria-hidden");
  drawing.removeAttribute("focusable");
  drawing.setAttribute("role", "group");
  drawing.setAttribute("aria-label", document.querySelector(".ask h1").textContent);
  drawing.setAttribute("aria-describedby", "tap-keys");
  for (const place of places(drawing)) place.setAttribute("role", "button");
  usable(drawing, take);
}
form.addEventListener("order-shown", show);
document.getElementById("tap-keys").hidden = false;
show();
