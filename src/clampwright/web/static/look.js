// Before anything is drawn. The look that was chosen on this device, if one was.
(function () {
  try {
    const look = localStorage.getItem("look");
    if (look === "light" || look === "dark" || look === "strong") document.documentElement.dataset["look"] = look;
  } catch {
    // A browser that keeps nothing shows the look of the system.
  }
})();

// A form without an address is sent by a module of its page. Touched before that has come, it would
// go the browser's own way: what was typed would be lost, a password would stand in the address.
addEventListener(
  "submit",
  (event) => {
    const form = event.target;
    if (form instanceof HTMLFormElement && !form.hasAttribute("action") && form.method !== "dialog") event.preventDefault();
  },
  true,
);
