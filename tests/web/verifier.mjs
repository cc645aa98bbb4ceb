// Runs the browser's verifier over cases: standard input holds them, standard output the answers.
// Usage: node verifier.mjs FOLDER_OF_MODULES

import { readFileSync } from "node:fs";

const folder = process.argv[2];
const [bytes, sha2, sha5, curve, merkle, record, held, heads] = await Promise.all(
  ["bytes", "sha256", "sha512", "ed25519", "merkle", "verify-record", "held-against", "signed-head"].map(
    (name) => import(`${folder}/${name}.js`),
  ),
);
const binary = (text) => Uint8Array.from(Buffer.from(text, "base64"));
const WAYS = {
  sha256: (data) => bytes.toHex(sha2.sha256(binary(data))),
  sha512: (data) => bytes.toHex(sha5.sha512(binary(data))),
  signature: ({ key, message, signature }) =>
    curve.signatureHolds(binary(key), binary(message), binary(signature)),
  inclusion: ({ leaf, index, size, proof, root }) =>
    merkle.inclusionHolds(binary(leaf), BigInt(index), BigInt(size), proof.map(binary), binary(root)),
  consistency: ({ first, firstRoot, second, secondRoot, proof }) =>
    merkle.consistencyHolds(
      BigInt(first),
      binary(firstRoot),
      BigInt(second),
      binary(secondRoot),
      proof.map(binary),
    ),
  record: (data) => {
    const { whole, findings, fingerprint, rows } = record.verifyRecord(binary(data));
    return { whole, findings, fingerprint, rows };
  },
  demanded: (text) => heads.demandedFingerprint(text),
  held: ({ data, kept }) => {
    const { head, keys } = record.verifyRecord(binary(data));
    const all = kept.map((one) => held.keptOf(binary(one)));
    return all.map(
      (one) => one && [held.heldAgainst(head, one.head, all.filter(Boolean)), held.ofTheseKeys(one.head, keys)],
    );
  },
};

const cases = JSON.parse(readFileSync(0, "utf8"));
process.stdout.write(JSON.stringify(cases.map(([way, given]) => WAYS[way](given))));
