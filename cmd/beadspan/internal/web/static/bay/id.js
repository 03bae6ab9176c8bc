// newID makes a UUID of version 7 (RFC 9562): 48 bits of time, so that ids are
// in the order in which they were made, then chance.
export const newID = (now = Date.now()) => {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  new DataView(bytes.buffer).setUint16(0, Math.floor(now / 2 ** 32));
  new DataView(bytes.buffer).setUint32(2, now >>> 0);
  bytes[6] = (bytes[6] & 0x0f) | 0x70;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = Array.from(bytes, (b) => b.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
};
