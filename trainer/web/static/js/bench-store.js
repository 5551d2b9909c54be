// What a device keeps of an observation: each mark with a ticket of its own, until the sheet says that all is signed.

// Private windows and full devices refuse storage; the sheet then works as long as it is open.
export function read(name) {
  try { return JSON.parse(localStorage.getItem(name)) ?? []; } catch { return []; }
}
export function write(name, entries) {
  try { localStorage.setItem(name, JSON.stringify(entries)); return true; } catch { return false; }
}
export function drop(name) {
  try { localStorage.removeItem(name); } catch { /* nothing kept */ }
}
export const unsent = (entries) => entries.filter((entry) => !entry.sent);
export const times = (number) => `${number} ${number === 1 ? "mark" : "marks"}`;
export const waiting = (number) => `${times(number)} ${number === 1 ? "waits" : "wait"} on this device`;
