// Photographs at the bench. Each is kept on this device first and sent when there is a connection; a ticket goes with it, so
// that sending it twice keeps it once.
import { drop, kept, photographs, put, small } from "./bench-photo-store.js";
import { freshToken, ticket } from "./bench-token.js";

const form = document.querySelector("form.bench");
const keep = form.dataset.keep;
const told = document.getElementById("photographs-wait");
const RETRY = 20_000;
let token = form.elements.csrf_token.value;
let waiting = [];
let sending;
let ended = false;

const sectionOf = (step) => form.querySelector(`.bench-step[data-step="${CSS.escape(step)}"]`);
export const photographsLeft = () => waiting.filter((one) => !one.refused).length;

function say(sentence, link) {
  told.textContent = sentence;
  if (link) {
    const way = document.createElement("a");
    [way.href, way.textContent] = link;
    told.append(" ", way);
  }
  told.hidden = !sentence;
}

// ---------- taking ----------
form.addEventListener("change", async ({ target }) => {
  if (target.type !== "file" || !target.files.length) return;
  const [file] = target.files;
  const section = target.closest(".bench-step");
  const most = Number(form.dataset.mostBytes);
  if (file.size > most) {
    say(`A photograph holds ${most / 1024 ** 2} MB at most; this file has more.`);
  } else if (section.querySelectorAll(".photographs li").length >= Number(form.dataset.mostPhotographs)) {
    say(`A step takes ${form.dataset.mostPhotographs} photographs at most; this one has them.`);
  } else {
    const one = {
      ticket: ticket(), keep, step: section.dataset.step, words: section.querySelector(".do").textContent,
      at: new Date().toISOString(), type: file.type, data: await file.arrayBuffer(), refused: "",
    };
    waiting.push(one);
    const safe = await put(one);
    await show(one);
    say(safe ? "" : "This device keeps nothing. Leave this sheet open until all photographs are sent.");
    send();
  }
  target.value = "";
});

async function show(one) {
  const item = document.createElement("li");
  item.dataset.ticket = one.ticket;
  const words = document.createElement("span");
  words.className = "small";
  words.setAttribute("role", "status");
  item.append(await small(one), words);
  const fold = sectionOf(one.step).querySelector(".pictured");
  fold.querySelector(".photographs").append(item);
  fold.open = true;
  if (one.refused) refuse(one, one.refused);
  else words.textContent = "On this device, not sent yet.";
}
const itemOf = (one) => form.querySelector(`li[data-ticket="${one.ticket}"]`);

function arrived(one, { address, width, height }) {
  const link = document.createElement("a");
  const picture = document.createElement("img");
  Object.assign(picture, { src: address, width, height, alt: `Photograph: ${one.words}` });
  link.href = address;
  link.append(picture);
  const item = itemOf(one);
  const same = [...item.parentElement.querySelectorAll("a")].some((other) => other.getAttribute("href") === address);
  if (same) item.remove();
  else item.replaceChildren(link);
}

// What is refused for good stays to be seen, and goes by the person's own hand.
function refuse(one, sentence) {
  const button = document.createElement("button");
  button.type = "button";
  button.className = "plain-button";
  button.textContent = "Throw it away";
  button.addEventListener("click", () => { forget(one); itemOf(one).remove(); say(""); });
  const item = itemOf(one);
  item.querySelector("span").textContent = sentence;
  item.append(button);
}
function forget(one) {
  waiting = waiting.filter((other) => other !== one);
  return drop(one.ticket);
}

// ---------- sending ----------
function post(one) {
  const body = new FormData();
  for (const name of ["ticket", "step", "at"]) body.append(name, one[name]);
  body.append("photograph", new Blob([one.data], { type: one.type }), "photograph");
  return fetch(form.dataset.photographs, { method: "POST", headers: { Accept: "application/json", "X-CSRFToken": token }, body });
}

async function renewed() {
  const found = await freshToken();
  if (found.token) {
    token = found.token;
    return true;
  }
  const left = photographsLeft();
  if (found.signedOut) say(`You are signed out. ${photographs(left)} ${left === 1 ? "waits" : "wait"} on this device until you sign in.`, [form.dataset.signIn, "Sign in"]);
  else if (found.ended) location.reload();
  else say(`Somebody else is signed in. The photographs wait on this device until ${form.dataset.evaluator} signs in.`);
  return false;
}

// Whoever asks while it is under way waits for the same end.
export function sendPhotographs() {
  sending ??= sendAll().finally(() => { sending = undefined; });
  return sending;
}

async function sendAll() {
  if (ended) return;
  let again = true;
  try {
    for (let one = next(); one; one = next()) {
      const reply = await post(one);
      if (reply.ok) {
        arrived(one, await reply.json());
        await forget(one);
        say("");
        continue;
      }
      if ([400, 401, 403].includes(reply.status) && again) {
        again = false;
        if (await renewed()) continue;
        break;
      }
      const answer = reply.headers.get("Content-Type")?.startsWith("application/json") ? await reply.json() : {};
      if (reply.status === 422 || reply.status === 413) {
        one.refused = answer.says ?? "This file has more bytes than are taken.";
        await put(one);
        refuse(one, one.refused);
        say(one.refused);
        continue;
      }
      ended = reply.status === 409;
      say(
        ended ? `${answer.says} A photograph that is not part of it stays on this device too.` : answer.says ?? "The photograph could not be kept just now. It stays on this device.",
        ended ? [location.pathname, "Open the signed sheet"] : undefined,
      );
      break;
    }
  } catch {
    const left = photographsLeft();
    say(`No connection. ${photographs(left)} ${left === 1 ? "waits" : "wait"} on this device until it is back.`);
  }
}
const next = () => waiting.find((one) => !one.refused);
const send = sendPhotographs;

window.addEventListener("online", send);
setInterval(() => { if (photographsLeft()) send(); }, RETRY);
kept(keep).then(async (found) => {
  waiting.push(...found);
  for (const one of found) if (sectionOf(one.step)) await show(one);
  send();
});
