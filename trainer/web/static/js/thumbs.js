// Thumbnails of the lines: all in one answer, and their style sheet, fetched after the page is ready for work.

const list = document.querySelector("[data-pictures]");

async function fetchAll() {
  const answer = await fetch(list.dataset.pictures, { headers: { Accept: "application/json" } });
  if (!answer.ok) throw new Error(answer.status);
  const pictures = await answer.json();
  await styled;
  for (const spot of list.querySelectorAll("[data-line]")) spot.innerHTML = pictures[spot.dataset.line] ?? "";
}

const sheet = document.createElement("link");
sheet.rel = "stylesheet";
sheet.href = new URL("../css/drawing.css", import.meta.url);
const styled = new Promise((done, failed) => { sheet.onload = done; sheet.onerror = failed; });
document.head.append(sheet);

// Without a connection the lines stand alone; when it is back the pictures come.
const later = () => addEventListener("online", () => fetchAll().catch(() => {}), { once: true });
fetchAll().catch(later);
