// A little help, without which everything works: fields keep what was typed until it is sent.
"use strict";
const kept = (form) => `knockon ${location.pathname} ${form.dataset.keep}`;
for (const form of document.querySelectorAll("form[data-keep]")) {
  if (form.method !== "post") continue;
  const named = (field) => field.name && !["hidden", "file", "submit"].includes(field.type);
  try {
    const values = JSON.parse(localStorage.getItem(kept(form)) || "{}");
    for (const field of [...form.elements].filter(named)) {
      if (!(field.name in values)) continue;
      if (field.type === "checkbox") field.checked = values[field.name];
      else if (!field.value) field.value = values[field.name];
    }
    form.addEventListener("input", () => {
      const now = {};
      for (const field of [...form.elements].filter(named)) {
        now[field.name] = field.type === "checkbox" ? field.checked : field.value;
      }
      localStorage.setItem(kept(form), JSON.stringify(now));
    });
    if (document.querySelector(".told")) localStorage.removeItem(kept(form)); // it was written
  } catch (error) { /* a browser that keeps nothing */ }
}
