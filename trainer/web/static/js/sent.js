// The answer has arrived and is marked: nothing of it needs to stay on this device.
try { localStorage.removeItem(document.querySelector("[data-sent]").dataset.sent); } catch { /* nothing kept */ }
