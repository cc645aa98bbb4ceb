// The constants of SHA-2 (FIPS 180-4, sections 4.2 and 5.3): bits of roots of the first primes.
// Reckoned with whole numbers: how exact `Math.cbrt` is differs between browsers.

/**
 * Return the whole part of a root of a whole number, by Newton's steps from above.
 * @param {bigint} number
 * @param {bigint} degree
 */
function root(number, degree) {
  let guess = 1n << BigInt(Math.ceil(number.toString(2).length / Number(degree)));
  for (;;) {
    const next = ((degree - 1n) * guess + number / guess ** (degree - 1n)) / degree;
    if (next >= guess) return guess;
    guess = next;
  }
}

/** @param {number} count */
function primes(count) {
  /** @type {number[]} */
  const found = [];
  for (let number = 2; found.length < count; number += 1) {
    if (found.every((prime) => number % prime !== 0)) found.push(number);
  }
  return found;
}

/**
 * Return the first 64 bits behind the point of the roots of the first primes.
 * @param {number} count
 * @param {2 | 3} degree
 * @returns {bigint[]}
 */
export function rootBits(count, degree) {
  const shift = 64n * BigInt(degree);
  return primes(count).map((prime) =>
    BigInt.asUintN(64, root(BigInt(prime) << shift, BigInt(degree))),
  );
}
