// The page that shows what a device types and how it is understood; and how it is to be heard.

import { fill, make } from "./dom.js";
import { hearTyping, keepTypedSettings, typedSettings } from "./typed-device.js";
import { typedProblem } from "./typed-problems.js";
import { understand } from "./typed-text.js";
import { say } from "./words.js";

class TypedPage extends HTMLElement {
  #list = make("ol", { class: "typed-list", "aria-live": "polite" });

  connectedCallback() {
    const kept = typedSettings();
    const on = make("input", { type: "checkbox", id: "typed-on" });
    on.defaultChecked = kept.on;
    const mark = make("select", { id: "typed-mark" });
    for (const [value, text] of [["either", say("typed_either")], ["point", say("typed_point")], ["comma", say("typed_comma")]]) {
      const option = make("option", { value }, text);
      option.defaultSelected = value === kept.mark;
      mark.append(option);
    }
    const keep = () => keepTypedSettings({ on: on.checked, mark: /** @type {"either" | "point" | "comma"} */ (mark.value) });
    on.addEventListener("change", keep);
    mark.addEventListener("change", keep);
    fill(
      this,
      make("p", {}, make("label", { for: "typed-on", class: "typed-on" }, on, " ", say("typed_hear"))),
      make("p", {}, make("label", { for: "typed-mark" }, say("typed_mark_of")), " ", mark),
      make("h2", {}, say("typed_came")),
      make("p", { class: "quiet" }, say("typed_wait")),
      this.#list,
    );
    hearTyping((whole) => this.#came(whole));
  }

  /** @param {import("./typed-device.js").Whole} whole */
  #came(whole) {
    const found = understand(whole.text, typedSettings().mark);
    const told = found.problem ? typedProblem(found.problem) : say("typed_read", { value: found.value, unit: found.unit || "–" });
    const more = [whole.enter ? say("typed_enter") : say("typed_no_enter"), whole.double && say("typed_double")].filter(Boolean);
    this.#list.prepend(make("li", {}, make("code", {}, whole.text), " ", make("strong", {}, told), " ", more.join(" ")));
    while (this.#list.childElementCount > 20) this.#list.lastElementChild?.remove();
  }
}

customElements.define("typed-page", TypedPage);
