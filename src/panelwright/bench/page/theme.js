// Before the first paint: the sheet as it was chosen last time.
(() => {
  let chosen = null;
  try { chosen = localStorage.getItem("panelwright sheet"); } catch { /* storage may be off; the system's choice holds */ }
  if (chosen === "dark" || chosen === "light") document.documentElement.dataset.theme = chosen;
})();
