// A little help, without which everything works: fields keep what was typed until it is sent.
"use strict";
const about = (form) => ["what", "step", "part"].map((name) => form.elements[name]?.value || "").join(" ");
const kept = (form) => `knockon ${location.pathname} ${form.dataset.keep} ${about(form)}`;
const SENT = "knockon sent";
try {
  if (document.querySelector(".told")) localStorage.removeItem(sessionStorage.getItem(SENT)); // it has arrived
  sessionStorage.removeItem(SENT);
} catch (error) { /* a browser that keeps nothing */ }
for (const form of document.querySelectorAll("form[data-keep]")) {
  if (form.method !== "post") continue;
  const key = kept(form);
  const named = (field) => field.name && !["hidden", "file", "submit"].includes(field.type);
  try {
    const values = JSON.parse(localStorage.getItem(key) || "{}");
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
      localStorage.setItem(key, JSON.stringify(now));
    });
    form.addEventListener("submit", () => sessionStorage.setItem(SENT, key));
  } catch (error) { /* a browser that keeps nothing */ }
}
