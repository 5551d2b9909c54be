// Marks at the bench. Each press is kept on this device first and sent when there is a connection; a ticket goes with
// it, so that sending it twice keeps it once.
import { photographsLeft, sendPhotographs } from "./bench-photos.js";
import { read, times, unsent, waiting, write } from "./bench-store.js";
import { freshToken, ticket } from "./bench-token.js";

const form = document.querySelector("form.bench");
const name = form.dataset.keep;
const sections = [...form.querySelectorAll(".bench-step")];
const section = new Map(sections.map((one) => [one.dataset.step, one]));
const waits = document.getElementById("waits");
const kept = document.getElementById("kept");
const RETRY = 20_000;
const AT_ONCE = 200;
let token = form.elements.csrf_token.value;
let entries = read(name);
let sending;
let ended = false;

const noteOf = (one) => one.querySelector("textarea");

function show(one, entry) {
  one.dataset.mark = entry.mark;
  one.dataset.note = entry.note;
  for (const button of one.querySelectorAll(".four button")) {
    button.setAttribute("aria-pressed", String(button.value === `${entry.step} ${entry.mark}`));
  }
  if (document.activeElement !== noteOf(one)) noteOf(one).value = entry.note;
  if (entry.note) one.querySelector(".noted").open = true;
}

// ---------- marking ----------
function enter(one, mark) {
  const entry = {
    ticket: ticket(), step: one.dataset.step, mark, note: noteOf(one).value.trim(),
    at: new Date().toISOString(), words: one.querySelector(".do").textContent, sent: false,
  };
  entries.push(entry);
  if (!write(name, entries)) say("This device keeps nothing. Leave this sheet open until all marks are sent.");
  show(one, entry);
  tell();
  send();
}

form.addEventListener("submit", (event) => {
  event.preventDefault();
  const [step, mark] = event.submitter?.value.split(/ (?=\S+$)/) ?? [];
  const one = section.get(step);
  if (one && mark !== "note") enter(one, one.dataset.mark === mark ? "" : mark);
});
form.addEventListener("change", (event) => {
  if (event.target.type === "file") return;
  const one = event.target.closest(".bench-step");
  if (one && event.target.value.trim() !== (one.dataset.note ?? "")) enter(one, one.dataset.mark);
});

// A note that is being written when the sheet goes away is entered as it stands.
window.addEventListener("pagehide", () => { if (document.activeElement?.matches(".noted textarea")) document.activeElement.blur(); });

// ---------- sending ----------
function say(sentence, link) {
  waits.textContent = sentence;
  if (link) {
    const way = document.createElement("a");
    [way.href, way.textContent] = link;
    waits.append(" ", way);
  }
  waits.hidden = !sentence;
}

function tell() {
  const left = unsent(entries).length;
  kept.textContent = left ? `${times(left)} on this device, not sent yet.` : "All marks are kept.";
  document.getElementById("marked").textContent = sections.filter((one) => one.dataset.mark).length;
}

const post = (some) => fetch(form.action, {
  method: "POST",
  headers: { "Content-Type": "application/json", Accept: "application/json", "X-CSRFToken": token },
  body: JSON.stringify({ entries: some }),
});

async function renewed() {
  const found = await freshToken();
  if (found.token) {
    token = found.token;
    return true;
  }
  if (found.signedOut) {
    say(`You are signed out. ${waiting(unsent(entries).length)} until you sign in.`, [form.dataset.signIn, "Sign in"]);
  } else if (found.ended) {
    // Not to be marked any more, or not by who is signed in now: the sheet itself says which.
    location.reload();
  } else {
    say(`Somebody else is signed in. The marks wait on this device until ${form.dataset.evaluator} signs in.`);
  }
  return false;
}

// Whoever asks while it is under way waits for the same end.
function send() {
  sending ??= sendAll().finally(() => { sending = undefined; });
  return sending;
}

async function sendAll() {
  if (ended) return;
  let again = true;
  try {
    while (unsent(entries).length) {
      const some = unsent(entries).slice(0, AT_ONCE);
      const reply = await post(some);
      if (reply.ok) {
        for (const entry of some) entry.sent = true;
        write(name, entries);
        say("");
        tell();
        continue;
      }
      if ([400, 401, 403].includes(reply.status) && again) {
        again = false;
        if (await renewed()) continue;
        break;
      }
      const told = reply.headers.get("Content-Type")?.startsWith("application/json") ? await reply.json() : {};
      ended = reply.status === 409;
      say(told.says ?? "The marks could not be kept just now. They stay on this device.", ended ? [location.pathname, "Open the signed sheet"] : undefined);
      break;
    }
  } catch {
    say(`No connection. ${waiting(unsent(entries).length)} until it is back.`);
  } finally {
    tell();
  }
}

window.addEventListener("online", send);
setInterval(() => { if (unsent(entries).length) send(); }, RETRY);
document.getElementById("close").addEventListener("click", async (event) => {
  if (!unsent(entries).length && !photographsLeft()) return;
  event.preventDefault();
  await Promise.all([send(), sendPhotographs()]);
  if (!unsent(entries).length && !photographsLeft()) location.assign(event.target.href);
});

// ---------- one step at a time ----------
const bar = document.getElementById("one-by-one");
const modes = document.getElementById("modes");
const wide = matchMedia("(min-width: 768px)");
let at = Math.max(0, sections.findIndex((one) => !one.dataset.mark));

function draw() {
  const one = form.classList.contains("one");
  sections.forEach((step, index) => { step.hidden = one && index !== at; });
  for (const title of form.querySelectorAll(".phase-title")) title.hidden = one;
  bar.hidden = !one;
  if (!one) return;
  document.getElementById("where").textContent = `${at + 1} of ${sections.length}`;
  bar.querySelector("[data-go='-1']").disabled = at === 0;
  bar.querySelector("[data-go='1']").disabled = at === sections.length - 1;
  const drawing = sections[at].querySelector(".drawn");
  if (drawing && wide.matches) drawing.open = true;
}

function choose(mode) {
  form.classList.toggle("one", mode === "one");
  for (const button of modes.children) button.setAttribute("aria-pressed", String(button.dataset.mode === mode));
  write("bench mode", mode);
  draw();
}

modes.addEventListener("click", (event) => { if (event.target.dataset.mode) choose(event.target.dataset.mode); });
bar.addEventListener("click", (event) => {
  const way = Number(event.target.dataset.go);
  if (!way) return;
  at = Math.max(0, Math.min(sections.length - 1, at + way));
  draw();
  sections[at].scrollIntoView({ block: "nearest" });
});

// ---------- drawings, when they are asked for ----------
async function drawing(details) {
  if (details.dataset.there) return;
  details.dataset.there = "yes";
  try {
    const reply = await fetch(`${details.dataset.from}?w=${innerWidth >= 1000 ? 440 : 320}`);
    const svg = reply.ok && new DOMParser().parseFromString(await reply.text(), "text/html").querySelector(".step-drawing svg");
    if (!svg) throw new Error("no drawing");
    details.querySelector("p").replaceWith(document.importNode(svg, true));
  } catch {
    delete details.dataset.there;
  }
}
for (const details of form.querySelectorAll(".drawn")) {
  details.addEventListener("toggle", () => { if (details.open) drawing(details); });
}

// ---------- opening again without a connection ----------
async function keepSheet() {
  if (!navigator.serviceWorker) return;
  const there = navigator.serviceWorker.controller;
  await navigator.serviceWorker.register(form.dataset.worker);
  if (there) return;
  // This sheet came before the worker: fetch it once more, so that the worker has it.
  await navigator.serviceWorker.ready;
  const files = [...document.querySelectorAll("link[rel=stylesheet], link[rel=preload], link[rel=icon], script[src]")].map((tag) => tag.href || tag.src);
  for (const name of ["store", "token", "photos", "photo-store"]) files.push(new URL(`./bench-${name}.js`, import.meta.url).href);
  const worker = (await navigator.serviceWorker.ready).active;
  worker.postMessage({ sheet: location.pathname, files });
}

form.classList.add("with-script");
modes.hidden = false;
for (const one of sections) one.dataset.note = noteOf(one).value;
for (const entry of entries) {
  const one = section.get(entry.step);
  if (one && (!entry.sent || Date.parse(entry.at) > (Date.parse(one.dataset.at) || 0))) show(one, entry);
}
const before = read("bench mode");
choose(before === "one" || before === "list" ? before : "list");
tell();
send();
keepSheet().catch(() => { /* without a worker the sheet has to stay open */ });
