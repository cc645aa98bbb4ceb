// Names of entries, made on the device: UUID version 7 (RFC 9562), rising on one page.
// Only getRandomValues is used: the other helpers are missing over plain http.

let lastTime = -1;
let counter = 0;

/**
 * Return the next name.
 * @param {number} now milliseconds since 1970
 * @returns {string}
 */
export function uuid7(now = Date.now()) {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  if (now > lastTime) {
    lastTime = now;
    counter = (((bytes[6] ?? 0) << 8) | (bytes[7] ?? 0)) & 0x7ff;
  } else if (counter < 0xfff) {
    counter += 1;
  } else {
    lastTime += 1;
    counter = 0;
  }
  let time = lastTime;
  for (let index = 5; index >= 0; index -= 1) {
    bytes[index] = time % 256;
    time = Math.floor(time / 256);
  }
  bytes[6] = 0x70 | (counter >> 8);
  bytes[7] = counter & 0xff;
  bytes[8] = 0x80 | ((bytes[8] ?? 0) & 0x3f);
  const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
}
