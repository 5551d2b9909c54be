// Photographs that a device keeps until they are sent: the file itself, its step and a ticket of its own.

const NAME = "bench-photographs";
const TABLE = "photographs";

function opened() {
  return new Promise((resolve, reject) => {
    const asked = indexedDB.open(NAME, 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore(TABLE, { keyPath: "ticket" });
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
  });
}
async function within(mode, deed) {
  const base = await opened();
  try {
    return await new Promise((resolve, reject) => {
      const change = base.transaction(TABLE, mode);
      const asked = deed(change.objectStore(TABLE));
      change.oncomplete = () => resolve(asked.result);
      change.onerror = change.onabort = () => reject(change.error);
    });
  } finally {
    base.close();
  }
}

// Private windows and full devices refuse storage; the sheet then works as long as it is open.
export async function kept(keep) {
  try { return (await within("readonly", (table) => table.getAll())).filter((one) => one.keep === keep); } catch { return []; }
}
export async function put(one) {
  try { await within("readwrite", (table) => table.put(one)); return true; } catch { return false; }
}
export async function drop(ticket) {
  try { await within("readwrite", (table) => table.delete(ticket)); } catch { /* nothing kept */ }
}
export const photographs = (number) => `${number} ${number === 1 ? "photograph" : "photographs"}`;

// A small picture of a file on this device; a canvas, because the sheet shows pictures from the server alone.
export async function small(one) {
  const canvas = document.createElement("canvas");
  canvas.setAttribute("role", "img");
  canvas.setAttribute("aria-label", `Photograph: ${one.words}`);
  try {
    const picture = await createImageBitmap(new Blob([one.data], { type: one.type }));
    const scale = Math.min(1, 320 / Math.max(picture.width, picture.height));
    canvas.width = Math.max(1, Math.round(picture.width * scale));
    canvas.height = Math.max(1, Math.round(picture.height * scale));
    canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
    picture.close();
  } catch { /* no picture: the words beside it say so when it is refused */ }
  return canvas;
}
