// Parts of a drawing as controls: one tab stop, the arrow keys walk in the order of the parts list, Enter chooses.

const STEP = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 };

/** Make the controls of a drawing usable; `choose` is called with the name of the one chosen. */
export function usable(svg, choose) {
  const all = [...svg.querySelectorAll("[data-control]")];
  let at = 0;

  function go(to) {
    all[at].tabIndex = -1;
    at = (to + all.length) % all.length;
    all[at].tabIndex = 0;
    all[at].focus();
  }

  all.forEach((one, index) => { one.tabIndex = index ? -1 : 0; });
  svg.addEventListener("keydown", (event) => {
    if (!all.includes(event.target) || event.ctrlKey || event.metaKey || event.altKey) return;
    const ends = { Home: 0, End: all.length - 1 }[event.key];
    if (event.key in STEP) go(at + STEP[event.key]);
    else if (ends !== undefined) go(ends);
    else if (event.key === "Enter" || event.key === " ") choose(event.target.dataset.control);
    else return;
    event.preventDefault();
  });
  svg.addEventListener("click", (event) => {
    const hit = event.target.closest("[data-control]");
    if (!hit) {
      const part = event.target.closest(".part[data-part]")?.dataset.part;
      if (part && all.some((one) => one.dataset.control === part)) choose(part);
      return;
    }
    at = all.indexOf(hit);
    all.forEach((one, index) => { one.tabIndex = index === at ? 0 : -1; });
    choose(hit.dataset.control);
  });
}

/** Show which control is chosen, in all drawings of a page. */
export function mark(name) {
  for (const one of document.querySelectorAll("[data-control]")) {
    const chosen = one.dataset.control === name;
    one.classList.toggle("chosen", chosen);
    if (chosen) one.setAttribute("aria-pressed", "true");
    else one.removeAttribute("aria-pressed");
  }
}
