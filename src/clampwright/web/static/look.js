// Before anything is drawn: the look that was chosen on this device, if one was.
(function () {
  try {
    const look = localStorage.getItem("look");
    if (look === "light" || look === "dark" || look === "strong") document.documentElement.dataset["look"] = look;
  } catch {
    // A browser that keeps nothing shows the look of the system.
  }
})();
