// Taking the record out of a paper (PDF): its bytes as they are attached. Whether the page says the
// same as the record is not looked at here: clampwright verify makes the paper again.

/** How a paper begins. */
const PDF = "%PDF-";
/** Most bytes of a record; more is none. */
const MOST = 100_000_000;
const ATTACHED = /obj\s*<<([^\r\n]{0,400}\/Type\s*\/EmbeddedFile[^\r\n]{0,400})>>\s*stream\r?\n/g;
const LENGTH = /\/Length (\d{1,9})\b/;

/** @param {Uint8Array} bytes */
export function isPaper(bytes) {
  return String.fromCharCode(...bytes.subarray(0, PDF.length)) === PDF;
}

/**
 * Return the record attached to a paper; null where there is not exactly one that can be unpacked.
 * @param {Uint8Array<ArrayBuffer>} pdf
 * @returns {Promise<Uint8Array<ArrayBuffer> | null>}
 */
export async function recordIn(pdf) {
  const text = new TextDecoder("latin1").decode(pdf);
  const found = [...text.matchAll(ATTACHED)];
  const [one] = found;
  const length = LENGTH.exec(one?.[1] ?? "")?.[1];
  if (!one || found.length !== 1 || length === undefined) return null;
  const start = one.index + one[0].length;
  const packed = new Blob([pdf.subarray(start, start + Number(length))]);
  try {
    return await unpacked(packed.stream().pipeThrough(new DecompressionStream("deflate")));
  } catch {
    return null; // damaged, or not packed in the usual way
  }
}

/**
 * @param {ReadableStream<Uint8Array>} stream
 * @returns {Promise<Uint8Array<ArrayBuffer> | null>}
 */
async function unpacked(stream) {
  /** @type {BlobPart[]} */
  const parts = [];
  let size = 0;
  const reader = stream.getReader();
  for (let read = await reader.read(); !read.done; read = await reader.read()) {
    size += read.value.length;
    if (size > MOST) return null;
    parts.push(new Uint8Array(read.value));
  }
  return new Uint8Array(await new Blob(parts).arrayBuffer());
}
