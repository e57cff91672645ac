"use strict";
// Steps one at a time: by button, by tap on the picture, by arrow key. Without this script all of them are shown.
const parts = [...document.querySelectorAll(".steps")].map((part) => {
  const steps = [...part.querySelectorAll("li")];
  const [next, back, all] = ["next", "back", "all"].map((name) => part.querySelector(`button.${name}`));
  let now = 0;
  const go = (to) => {
    now = Math.min(Math.max(to, 0), steps.length - 1);
    steps.forEach((step, number) => step.classList.toggle("now", number === now));
    // Not disabled: a button that goes dead would take the place of whoever moves by key or switch away.
    back.setAttribute("aria-disabled", String(now === 0));
    next.setAttribute("aria-disabled", String(now === steps.length - 1));
  };
  const show = (one) => {
    part.classList.toggle("one", one);
    all.setAttribute("aria-pressed", String(!one));
    next.hidden = back.hidden = !one;
  };
  next.addEventListener("click", () => go(now + 1));
  back.addEventListener("click", () => go(now - 1));
  all.addEventListener("click", () => show(!part.classList.contains("one")));
  part.querySelectorAll("li svg").forEach((picture) => picture.addEventListener("click", () => go(now + 1)));
  part.querySelector(".controls").hidden = false;
  go(0);
  show(true);
  return { part, step: (by) => part.classList.contains("one") && go(now + by) };
});
document.addEventListener("keydown", (event) => {
  const onward = document.dir === "rtl" ? -1 : 1;
  const by = { ArrowRight: onward, ArrowLeft: -onward }[event.key];
  if (!by || event.altKey || event.ctrlKey || event.metaKey || event.shiftKey) return;
  const seen = parts.find(({ part }) => part.contains(document.activeElement))
    || parts.find(({ part }) => part.getBoundingClientRect().bottom > 0);
  if (seen) seen.step(by);
});
