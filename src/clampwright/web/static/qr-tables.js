// Tables of ISO/IEC 18004 for correction level L: how each version of a code divides its bytes.

/** Bytes of correction in each block, by version from 1. ISO/IEC 18004, table 9. */
export const CORRECTION = [7, 10, 15, 20, 26, 18, 20, 24, 30, 18, 20, 24, 26, 30, 22, 24, 28, 30, 28, 28, 28, 28, 30, 30, 26, 28, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30];

/** Number of blocks, by version from 1. ISO/IEC 18004, table 9. */
export const BLOCKS = [1, 1, 1, 1, 1, 2, 2, 2, 2, 4, 4, 4, 4, 4, 6, 6, 6, 6, 7, 8, 8, 9, 9, 10, 12, 12, 12, 13, 14, 15, 16, 17, 18, 19, 19, 20, 21, 22, 24, 25];

/** How the level is written in the format of a code. ISO/IEC 18004, table 12. */
export const LEVEL_BITS = 1;

/**
 * Return how many modules of a version carry data: its area less what is drawn in every code.
 * @param {number} version
 */
export function dataModules(version) {
  let modules = (16 * version + 128) * version + 64;
  if (version >= 2) {
    const patterns = Math.floor(version / 7) + 2;
    modules -= (25 * patterns - 10) * patterns - 55;
    if (version >= 7) modules -= 36;
  }
  return modules;
}

/**
 * Return where the alignment patterns of a version stand. ISO/IEC 18004, annex E.
 * @param {number} version
 * @returns {number[]}
 */
export function alignment(version) {
  if (version === 1) return [];
  const count = Math.floor(version / 7) + 2;
  const last = 4 * version + 10;
  const step = version === 32 ? 26 : Math.ceil((last - 6) / (2 * (count - 1))) * 2;
  const places = [6];
  for (let at = last; places.length < count; at -= step) places.splice(1, 0, at);
  return places;
}
