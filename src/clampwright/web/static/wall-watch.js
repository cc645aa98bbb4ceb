// The page for the wall looks by itself whether somebody has answered, and shows it.

const EVERY = 5000;

class WallWatch extends HTMLElement {
  #answers = -1;
  #timer = 0;

  connectedCallback() {
    this.#timer = window.setInterval(() => void this.#look(), EVERY);
    void this.#look();
  }

  disconnectedCallback() {
    window.clearInterval(this.#timer);
  }

  async #look() {
    if (document.hidden) return;
    try {
      const reply = await fetch(this.dataset["of"] ?? "", { credentials: "same-origin" });
      if (!reply.ok) return;
      const data = await reply.json();
      const answers = data.results.length;
      if (this.#answers >= 0 && answers !== this.#answers) await this.#renew();
      this.#answers = answers;
    } catch {
      // The page stands as it was until the server answers again.
    }
  }

  async #renew() {
    const text = await (await fetch(location.href, { credentials: "same-origin" })).text();
    const fresh = new DOMParser().parseFromString(text, "text/html").querySelector("wall-watch");
    if (fresh) this.replaceChildren(...fresh.childNodes);
  }
}

customElements.define("wall-watch", WallWatch);
