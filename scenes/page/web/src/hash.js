// What is set, kept in the page's own address, so that loading again loses nothing and a link can be shared.

/** A value as letters that an address may hold. */
export function packed(value) {
  const bytes = new TextEncoder().encode(JSON.stringify(value));
  let text = "";
  for (const byte of bytes) text += String.fromCharCode(byte);
  return btoa(text).replace(/\+/g, "-").replace(/\//g, "_").replace(/=+$/, "");
}

/** The value, or null for letters that hold none. */
export function unpacked(text) {
  try {
    const bytes = Uint8Array.from(atob(text.replace(/-/g, "+").replace(/_/g, "/")), (one) => one.charCodeAt(0));
    const value = JSON.parse(new TextDecoder().decode(bytes));
    return value !== null && typeof value === "object" && !Array.isArray(value) ? value : null;
  } catch {
    return null;
  }
}

export function readHash() {
  return unpacked(window.location.hash.slice(1)) ?? {};
}

export function writeHash(value) {
  const empty = Object.values(value).every((one) => !one || Object.keys(one).length === 0);
  const address = new URL(window.location.href);
  address.hash = empty ? "" : packed(value);
  if (address.href !== window.location.href) window.history.replaceState(null, "", address.href);
}

/** Of some values, those that differ from the start. */
export function differing(values, start) {
  return Object.fromEntries(Object.entries(values).filter(([key, value]) => value !== start[key]));
}

/** The start with what differs put in, without keys that the start has not or values of another kind. */
export function completed(differences, start) {
  const fits = ([key, value]) => key in start && typeof value === typeof start[key];
  return { ...start, ...Object.fromEntries(Object.entries(differences ?? {}).filter(fits)) };
}
