// Lines in order: dragging by the grip, arrow keys on the grip, and the two buttons without a round trip.
// The order is the order of the lines in the page: each carries its own hidden field.

const list = document.querySelector("ol.lines");
const form = list.closest("form");
const said = document.getElementById("said");
const EDGE = 70; // px from the edge of the screen where a dragged line pulls the page along

const lines = () => [...list.children];
const words = (li) => li.querySelector(".do").textContent;
const changed = () => form.dispatchEvent(new CustomEvent("answer-changed"));

function settle() {
  const all = lines();
  all.forEach((li, index) => {
    const [up, down] = li.querySelectorAll(".arrows button");
    up.disabled = index === 0;
    down.disabled = index === all.length - 1;
    li.querySelector(".grip").setAttribute("aria-label", `${words(li)}, ${index + 1} of ${all.length}`);
  });
  form.dispatchEvent(new CustomEvent("order-shown"));
}

function place(li, index) {
  const all = lines();
  const target = Math.max(0, Math.min(all.length - 1, index));
  if (target === all.indexOf(li)) return false;
  const others = all.filter((other) => other !== li);
  list.insertBefore(li, others[target] ?? null);
  settle();
  said.textContent = `${words(li)}, now ${target + 1} of ${all.length}.`;
  changed();
  return true;
}

// ---------- buttons ----------
list.addEventListener("click", (event) => {
  const button = event.target.closest(".arrows button");
  if (!button) return;
  event.preventDefault();
  const li = button.closest("li");
  const up = button === button.parentElement.firstElementChild;
  place(li, lines().indexOf(li) + (up ? -1 : 1));
  (button.disabled ? li.querySelector(".arrows button:enabled") : button)?.focus({ preventScroll: true });
  li.scrollIntoView({ block: "nearest" });
});

// ---------- keyboard ----------
const KEYS = {
  ArrowUp: (at) => at - 1, ArrowDown: (at) => at + 1, Home: () => 0, End: () => Infinity,
};
list.addEventListener("keydown", (event) => {
  const grip = event.target.closest(".grip");
  const to = KEYS[event.key];
  if (!grip || !to || event.ctrlKey || event.metaKey) return;
  event.preventDefault();
  const li = grip.closest("li");
  place(li, to(lines().indexOf(li)));
  grip.focus({ preventScroll: true });
  li.scrollIntoView({ block: "nearest" });
});

// ---------- dragging: the others make room, the change is made when the finger lifts ----------
let drag = null;

function start(event) {
  const grip = event.target.closest(".grip");
  if (!grip || event.button !== 0 || drag) return;
  event.preventDefault();
  const li = grip.closest("li");
  const all = lines();
  const boxes = all.map((item) => item.getBoundingClientRect());
  const from = all.indexOf(li);
  drag = {
    li, grip, from, to: from, all, pointer: event.pointerId, y: event.clientY, at: event.clientY,
    scrolled: window.scrollY, height: boxes[from].height,
    middles: boxes.map((box) => box.top + box.height / 2 + window.scrollY),
  };
  grip.setPointerCapture(event.pointerId);
  li.querySelector(".line").classList.add("lifted");
  drag.frame = requestAnimationFrame(pull);
}

function pull() {
  if (!drag) return;
  const over = drag.at < EDGE ? drag.at - EDGE : Math.max(0, drag.at - (window.innerHeight - EDGE));
  if (over) {
    window.scrollBy(0, over / 6);
    follow();
  }
  drag.frame = requestAnimationFrame(pull);
}

function follow() {
  const shift = drag.at - drag.y + window.scrollY - drag.scrolled;
  const middle = drag.middles[drag.from] + shift;
  drag.to = drag.middles.filter((other, index) => index !== drag.from && other < middle).length;
  drag.all.forEach((li, index) => {
    const line = li.querySelector(".line");
    if (index === drag.from) {
      line.style.transform = `translateY(${shift}px)`;
      return;
    }
    const makesRoom = index > drag.from ? index <= drag.to && -1 : index >= drag.to && 1;
    line.classList.add("moves");
    line.style.transform = makesRoom ? `translateY(${makesRoom * drag.height}px)` : "";
  });
}

function finish(keep) {
  if (!drag) return;
  const { li, grip, all, to, frame } = drag;
  cancelAnimationFrame(frame);
  drag = null;
  for (const item of all) {
    const line = item.querySelector(".line");
    line.classList.remove("lifted", "moves");
    line.style.transform = "";
  }
  if (keep) place(li, to);
  grip.focus({ preventScroll: true });
}

list.addEventListener("pointerdown", start);
list.addEventListener("pointermove", (event) => {
  if (!drag || event.pointerId !== drag.pointer) return;
  drag.at = event.clientY;
  follow();
});
list.addEventListener("pointerup", (event) => drag?.pointer === event.pointerId && finish(true));
list.addEventListener("pointercancel", (event) => drag?.pointer === event.pointerId && finish(false));
document.addEventListener("keydown", (event) => event.key === "Escape" && finish(false));

// ---------- what the kept answer needs: read and put back the order ----------
form.readAnswer = () => lines().map((li) => li.querySelector("[name=line]").value);
form.writeAnswer = (order) => {
  const byId = new Map(lines().map((li) => [li.querySelector("[name=line]").value, li]));
  if (!Array.isArray(order) || order.length !== byId.size || !order.every((id) => byId.has(id))) return;
  list.append(...order.map((id) => byId.get(id)));
  settle();
};

for (const grip of list.querySelectorAll(".grip")) {
  grip.tabIndex = 0;
  grip.setAttribute("role", "button");
  grip.setAttribute("aria-describedby", "keys");
}
document.getElementById("keys").hidden = false;
settle();
