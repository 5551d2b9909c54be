// An unsent answer stays on this device, is put back when the sheet opens again, and is sent once.
// The ticket goes with it: sending the same ticket twice gives the same mark, so a lost reply does no harm.

const form = document.querySelector("form[data-keep]");
const waits = form.querySelector(".waits");
const name = form.dataset.keep;
const hidden = ["ticket", "started"];
let waiting = false;
const ours = new Set(["csrf_token", "mark", "move", "line", "pick", "picked", ...hidden]);

// Private windows and full devices refuse storage; the sheet works without it.
const store = {
  read() { try { return JSON.parse(localStorage.getItem(name)); } catch { return null; } },
  write(value) { try { localStorage.setItem(name, JSON.stringify(value)); } catch { /* not kept */ } },
  drop() { try { localStorage.removeItem(name); } catch { /* nothing kept */ } },
};

const fields = () => [...new FormData(form)].filter(([field]) => !ours.has(field));

function keep() {
  const kept = { fields: fields(), order: form.readAnswer?.() };
  for (const field of hidden) kept[field] = form.elements[field].value;
  store.write(kept);
}

function putBack(kept) {
  for (const field of hidden) if (kept[field]) form.elements[field].value = kept[field];
  form.writeAnswer?.(kept.order);
  for (const [field, value] of kept.fields ?? []) {
    const input = form.elements[field];
    if (input) input.value = value; // a RadioNodeList takes the value of the choice
  }
}

async function send() {
  keep();
  const button = form.querySelector("[name=mark]");
  const body = new FormData(form);
  body.append("mark", "yes");
  button.disabled = true;
  let reply;
  try {
    reply = await fetch(form.action, { method: "POST", body, headers: { Accept: "application/json" } });
  } catch {
    say("No connection. Your answer is kept on this device and is sent when the connection is back.");
    waiting = true;
    button.disabled = false;
    return;
  }
  button.disabled = false;
  const told = reply.headers.get("Content-Type")?.startsWith("application/json") ? await reply.json() : {};
  if (told.marked) {
    store.drop();
    location.assign(told.marked);
  } else if (told.says) {
    say(told.says);
  } else {
    resend(button); // signed out or refused: the browser sends it the plain way and shows what is said
  }
}

function say(sentence) {
  waits.textContent = sentence;
  waits.hidden = false;
}

function resend(button) {
  form.removeEventListener("submit", submitted);
  form.requestSubmit(button);
}

function submitted(event) {
  if (["move", "pick"].includes(event.submitter?.name)) return; // shown again, or marked, by the page itself
  event.preventDefault();
  send();
}

form.addEventListener("submit", submitted);
form.addEventListener("answer-changed", keep);
form.addEventListener("input", keep);
window.addEventListener("online", () => {
  if (!waiting) return;
  waiting = false;
  waits.hidden = true;
  send();
});

const kept = store.read();
if (kept) putBack(kept);
form.dispatchEvent(new CustomEvent("put-back"));
