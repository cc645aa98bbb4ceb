// Which sentence of the catalogue tells what the verifier found.

/** @type {Record<import("./verify-record.js").Rule, string>} */
export const FOUND = {
  json_large: "verify_json_large",
  json_utf8: "verify_json_utf8",
  json_json: "verify_json_json",
  json_twice: "verify_json_twice",
  json_number: "verify_json_number",
  json_nfc: "verify_json_nfc",
  json_half: "verify_json_half",
  json_deep: "verify_json_deep",
  no_record: "verify_no_record",
  other_key: "verify_other_key",
  head_form: "verify_head_form",
  head_origin: "verify_head_origin",
  head_signature: "verify_head_signature",
  row_form: "verify_row_form",
  row_order: "verify_row_order",
  row_altered: "verify_row_altered",
  same_id: "verify_same_id",
  other_job: "verify_other_job",
  gap: "verify_gap",
  beginning: "verify_beginning",
  key_change: "verify_key_change",
  rebuilt: "verify_rebuilt",
  closing: "verify_closing",
  counted: "verify_counted",
};

/** @type {Record<import("./held-against.js").Standing, string>} */
export const STANDINGS = {
  same: "verify_kept_same",
  carried_on: "verify_kept_carried_on",
  another_way: "verify_kept_another_way",
  other_log: "verify_kept_other_log",
  no_bridge: "verify_kept_no_bridge",
};

/** What holds when nothing was found. */
export const HOLDS = [
  "verify_holds_json",
  "verify_holds_head",
  "verify_holds_entries",
  "verify_holds_job",
  "verify_holds_keys",
];
