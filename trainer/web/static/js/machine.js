// The sheet of a machine: choose an item, go from step to step, see it taken apart. Each answer is fetched when it is wanted.

import { mark, usable } from "./controls.js";

const part = document.getElementById("part");
const apart = document.getElementById("apart");
const moment = document.getElementById("moment");
const slider = document.getElementById("at");
const said = document.getElementById("said");
const lost = document.getElementById("lost");
const desk = matchMedia("(min-width: 980px)");
const width = () => (desk.matches ? "desk" : "phone");
const PATIENCE = 60; // ms that the slider rests before a picture is fetched

async function fetched(path) {
  const answer = await fetch(path);
  if (!answer.ok || answer.redirected) throw new Error(String(answer.status));
  return new DOMParser().parseFromString(await answer.text(), "text/html");
}

function told(words) {
  lost.textContent = words;
  lost.hidden = !words;
}

function address(name, value) {
  const here = new URL(location.href);
  if (value) here.searchParams.set(name, value);
  else here.searchParams.delete(name);
  history.replaceState(null, "", here);
}

// ---------- an item ----------
let chosen = "";

async function choose(thing) {
  chosen = thing;
  mark(thing);
  for (const link of document.querySelectorAll(".items a")) {
    if (link.dataset.part === thing) link.setAttribute("aria-current", "true");
    else link.removeAttribute("aria-current");
  }
  try {
    const page = await fetched(part.dataset.at.replace("/-?", `/${thing}?`));
    if (chosen !== thing) return;
    part.replaceChildren(...page.body.children);
    part.hidden = false;
    said.textContent = part.firstElementChild.dataset.said;
    part.scrollIntoView({ block: "nearest" });
    address("part", thing);
    told("");
  } catch {
    told("What there is to know of this item could not be fetched. Choose it again when there is a connection.");
  }
}

document.querySelector(".items").addEventListener("click", (event) => {
  const link = event.target.closest("a[data-part]");
  if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
  event.preventDefault();
  choose(link.dataset.part);
});
for (const svg of document.querySelectorAll("svg[role=group]")) usable(svg, choose);

// ---------- step by step ----------
const last = Number(slider.max);
const ids = [...document.querySelectorAll(".all-steps a")].map((link) => new URL(link.href).searchParams.get("after") ?? "");
const pages = new Map();
let wanted = Number(slider.value);
let waits = 0;

function page(done) {
  const path = apart.dataset.at.replace(/\/0\/phone$/, `/${done}/${width()}`);
  if (!pages.has(path)) {
    const asked = fetched(path);
    asked.catch(() => pages.delete(path));
    pages.set(path, asked);
  }
  return pages.get(path);
}

function settle() {
  slider.value = wanted;
  slider.setAttribute("aria-valuetext", `${wanted} of ${last} steps done`);
  for (const [way, to] of [["back", wanted - 1], ["on", wanted + 1]]) {
    const link = apart.querySelector(`[data-way=${way}]`);
    const off = to < 0 || to > last;
    link.setAttribute("aria-disabled", String(off));
    if (off) link.removeAttribute("href");
    else link.href = "#apart";
  }
}

async function show(done) {
  wanted = Math.max(0, Math.min(last, done));
  settle();
  const now = wanted;
  try {
    const found = await page(now);
    if (wanted !== now) return;
    const copy = document.importNode(found.body, true);
    moment.replaceChildren(copy.querySelector(".moment-text"));
    apart.querySelector(`.on-${width()}`).replaceChildren(copy.querySelector("svg"));
    address("after", now < last ? ids[now] : apart.dataset.last);
    told("");
    if (now < last) page(now + 1).catch(() => {});
  } catch {
    if (wanted === now) told("This step could not be fetched. Go to it again when there is a connection.");
  }
}

slider.addEventListener("input", () => {
  wanted = Number(slider.value);
  settle();
  clearTimeout(waits);
  waits = setTimeout(() => show(wanted), PATIENCE);
});
document.addEventListener("click", (event) => {
  const link = event.target.closest("[data-way], .all-steps a, .steps-of a");
  if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
  event.preventDefault();
  if (link.getAttribute("aria-disabled") === "true") return;
  const way = { back: -1, on: 1 }[link.dataset.way];
  show(way ? wanted + way : Number(link.dataset.done));
  if (!way) apart.scrollIntoView({ block: "nearest" });
});
desk.addEventListener("change", () => show(wanted));
slider.closest("label").hidden = false;
settle();

// ---------- taken apart: fetched when it comes into sight ----------
const exploded = document.getElementById("exploded");
const link = exploded?.querySelector("a.button");

async function explode() {
  try {
    const found = await fetched(exploded.dataset.at.replace(/phone$/, width()));
    const svg = document.importNode(found.querySelector("svg"), true);
    link.closest("p").replaceWith(svg);
    usable(svg, choose);
    if (chosen) mark(chosen);
  } catch {
    link.hidden = false;
  }
}

if (link) {
  const sight = new IntersectionObserver((seen) => {
    if (!seen.some((one) => one.isIntersecting)) return;
    sight.disconnect();
    explode();
  }, { rootMargin: "200px" });
  sight.observe(exploded);
  link.addEventListener("click", (event) => { event.preventDefault(); explode(); });
}
