// Reading a form's fields, and telling what became of it.

/**
 * Return what stands in a field of a form.
 * @param {HTMLFormElement} form
 * @param {string} name
 * @returns {string}
 */
export function field(form, name) {
  const found = new FormData(form).get(name);
  return typeof found === "string" ? found.trim() : "";
}

/**
 * Return the fastener as a form tells it.
 * @param {HTMLFormElement} form
 */
export function fastenerOf(form) {
  return {
    thread: field(form, "thread"),
    strength: field(form, "strength"),
    head: field(form, "head"),
    hole: field(form, "hole") || "medium",
    friction: field(form, "friction"),
  };
}

/**
 * Put a value into a field, if the form has it.
 * @param {HTMLFormElement} form
 * @param {string} name
 * @param {string} value
 */
export function setField(form, name, value) {
  const found = form.elements.namedItem(name);
  if (found instanceof HTMLInputElement || found instanceof HTMLTextAreaElement) found.value = value;
  if (found instanceof HTMLSelectElement) found.value = value;
}

/**
 * Show a sentence at the head of the page; an empty one takes it away.
 * @param {string} text
 */
export function notice(text) {
  const place = document.getElementById("notice");
  if (!place) return;
  place.hidden = !text;
  place.textContent = text;
  if (text) place.scrollIntoView({ block: "center" });
}

/**
 * Return a form of the page.
 * @param {string} id
 * @returns {HTMLFormElement}
 */
export function formOf(id) {
  const found = document.getElementById(id);
  if (!(found instanceof HTMLFormElement)) throw new Error(`no form ${id}`);
  return found;
}

/**
 * Disable a form's button while something is done; tells what, and puts the old words back.
 * @param {HTMLFormElement} form
 * @param {string} meanwhile
 * @param {() => Promise<void>} work
 */
export async function whileBusy(form, meanwhile, work) {
  const button = form.querySelector("button:not([type=button])");
  if (!(button instanceof HTMLButtonElement) || button.disabled) return;
  const before = button.textContent;
  button.disabled = true;
  button.textContent = meanwhile;
  try {
    await work();
  } finally {
    button.disabled = false;
    button.textContent = before;
  }
}
