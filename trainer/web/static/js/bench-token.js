// A sheet that was kept on the device, or opened before the last sign-in, carries an old token: ask for a new one.

// Returns { token }, or { signedOut } when nobody is signed in, or { ended } when the sheet is not to be marked any more, or
// nothing of these when somebody else is signed in.
export async function freshToken() {
  const reply = await fetch(location.pathname, { headers: { Accept: "text/html" } });
  if (reply.redirected) return { signedOut: true };
  const fresh = reply.ok && new DOMParser().parseFromString(await reply.text(), "text/html").querySelector("form.bench [name=csrf_token]");
  return fresh ? { token: fresh.value } : { ended: reply.ok };
}
export const ticket = () => [...crypto.getRandomValues(new Uint8Array(12))].map((byte) => byte.toString(16).padStart(2, "0")).join("");
