// What a page cannot do by itself: show the card while a blank is typed in, write the file when it is left, lock.
// No library. Everything asked goes to this desk; what comes back was made by its templates.
"use strict";

const base = document.body.dataset.base || "";
const find = (id) => document.getElementById(id);
const IDLE_MS = 5 * 60 * 1000, PAUSE_MS = 1200;

async function ask(address, body, isForm = false) {
  const headers = { Accept: "application/json" };
  headers["Content-Type"] = isForm ? "application/x-www-form-urlencoded" : "application/json";
  if (body instanceof Blob) isForm = true;
  for (;;) {
    let answer, told;
    try {
      answer = await fetch(address, { method: "POST", headers, body: isForm ? body : JSON.stringify(body) });
      told = await answer.json();
    } catch {
      return { ok: false, told: "The desk does not answer: it may have been closed. What was not written is still on this page." };
    }
    if (answer.status === 401) { location.assign("/"); return new Promise(() => {}); }
    if (answer.status !== 423) return { ok: answer.ok, ...told };
    await unlocked();
  }
}

// ---- lock: the window goes dark after five idle minutes, the page with its work stays beneath

const lock = find("lock");
let idle = 0;
function showLock() {
  if (lock.open) return;
  const at = document.activeElement, caret = at?.selectionEnd;
  lock.showModal();
  // The browser gives the focus back, and not always the caret with it.
  lock.addEventListener("close", () => { at?.focus(); if (caret != null) at.setSelectionRange(caret, caret); }, { once: true });
}
function unlocked() {
  showLock();
  return new Promise((resolve) => lock.addEventListener("close", resolve, { once: true }));
}
if (lock) {
  const awake = () => {
    clearTimeout(idle);
    idle = setTimeout(() => { fetch(`${base}/lock`, { method: "POST", body: "" }).catch(() => {}); showLock(); }, IDLE_MS);
  };
  for (const kind of ["keydown", "pointerdown", "input"]) addEventListener(kind, awake, { passive: true });
  awake();
  lock.addEventListener("cancel", (event) => event.preventDefault());
  lock.querySelector("form").addEventListener("submit", async (event) => {
    event.preventDefault();
    const form = event.target;
    const answer = await ask(form.action, new URLSearchParams(new FormData(form)), true);
    form.querySelector("[role=alert]").textContent = answer.told || "";
    form.reset();
    if (answer.ok) lock.close();
  });
}

// ---- write

const form = find("form");
let writes = Promise.resolve(), underway = 0, turn = 0, fill = 1, side = 1, speech = 0;

function valueOf(blank) {
  if (blank.matches(".days")) return [...blank.querySelectorAll(":checked")].map((box) => box.value);
  if (blank.matches(".barrels")) return blank.querySelector(":checked")?.value || "";
  return blank.value;
}
const wasOf = (blank) => (blank.matches(".days") ? blank.dataset.was.split(",").filter(Boolean) : blank.dataset.was);
const isChanged = (blank) => String(valueOf(blank)) !== String(wasOf(blank));

function speak(words) {
  clearTimeout(speech);
  speech = setTimeout(() => { if (words && find("spoken").textContent !== words) find("spoken").textContent = words; }, PAUSE_MS);
}

function tell(words) {
  const box = find("told");
  box.querySelector("[role=alert]").textContent = words;
  box.hidden = false;
  box.scrollIntoView({ block: "nearest" });
}

function setValue(blank, value) {
  if (Array.isArray(value)) for (const box of blank.querySelectorAll("input")) box.checked = value.includes(box.value);
  else if (!blank.matches(".barrels")) blank.value = value;
}

// Sentences anew; what is being typed meanwhile, and where, stays.
function replaceForm(html) {
  const at = document.activeElement, id = at?.closest("[data-path]")?.id || at?.id;
  const range = at?.selectionStart == null ? null : [at.selectionStart, at.selectionEnd];
  const inner = at?.closest(".days, .barrels") ? at.value : "";
  const typed = [...form.querySelectorAll("[data-path]")].filter(isChanged).map((blank) => [blank.id, valueOf(blank)]);
  form.innerHTML = html;
  for (const [each, value] of typed) if (find(each)) setValue(find(each), value);
  const blank = id ? find(id) : null, again = inner ? blank?.querySelector(`input[value="${CSS.escape(inner)}"]`) : blank;
  again?.focus({ preventScroll: true });
  if (range && again?.setSelectionRange) again.setSelectionRange(...range);
}

function show(answer) {
  if (answer.told) tell(answer.told);
  if (!answer.ok) return;
  if (answer.form) replaceForm(answer.form);
  for (const [group, html] of Object.entries(answer.boxes)) {
    const box = find(`p-${group}`);
    if (box && box.dataset.shown !== html) { box.innerHTML = html; box.dataset.shown = html; }
  }
  for (const blank of form.querySelectorAll("[data-path]:not(.days, .barrels)")) {
    if (answer.invalid.includes(blank.dataset.path)) blank.setAttribute("aria-invalid", "true");
    else blank.removeAttribute("aria-invalid");
  }
  find("whose").textContent = answer.whose;
  find("parts").innerHTML = answer.nav;
  find("live").innerHTML = answer.live;
  find("settle").textContent = answer.settle ? `${answer.settle} to settle first` : "Nothing left to settle";
  speak(answer.spoken);
}

// What is asked waits for what is being written: the answer is of the whole file, and the last one asked is shown.
async function look(blank) {
  const mine = ++turn;
  await writes;
  if (mine !== turn) return;
  const body = blank
    ? { path: blank.dataset.path, value: valueOf(blank), was: wasOf(blank), fill, side }
    : { path: "", value: "", was: "", fill, side };
  const answer = await ask(`${base}/write/${form.dataset.number}/blank`, body);
  if (mine === turn) show(answer);
}

function write(blank) {
  if (!isChanged(blank)) return;
  const value = valueOf(blank), was = wasOf(blank), path = blank.dataset.path;
  blank.dataset.was = String(value);
  find("state").textContent = "being written";
  ++underway;
  const mine = ++turn;
  writes = writes.then(async () => {
    const answer = await ask(`${base}/write/${form.dataset.number}/blank`, { path, value, was, write: true, fill, side });
    --underway;
    if (!answer.ok || !answer.saved) {
      blank.dataset.was = String(was);
      find("state").textContent = "not written";
    } else if (!underway) find("state").textContent = "written to the file";
    if (mine === turn || !answer.ok || answer.form) show(answer);
  });
}

function select(number, which) {
  if (number === fill && which === side) return;
  fill = number; side = which;
  find("which").textContent = `${form.querySelector(`[data-group="fills[${fill}]"] input`)?.value || "Fill " + fill}, draft`;
  for (const tab of document.querySelectorAll("[data-side]")) tab.setAttribute("aria-pressed", String(Number(tab.dataset.side) === side));
  look(null);
}

if (form) {
  const blankOf = (event) => event.target.closest("[data-path]");
  form.addEventListener("input", (event) => { const blank = blankOf(event); if (blank) look(blank); });
  form.addEventListener("keydown", (event) => { if (event.key === "Enter" && event.target.matches("input")) write(blankOf(event)); });
  form.addEventListener("focusout", (event) => {
    // Another window, or the lock, is no leaving: it may come in the middle of a number.
    const blank = document.hasFocus() && !lock.open && blankOf(event);
    if (blank && !blank.contains(event.relatedTarget)) write(blank);
  });
  addEventListener("beforeunload", (event) => { if ([...form.querySelectorAll("[data-path]")].some(isChanged)) event.preventDefault(); });
  form.addEventListener("focusin", (event) => {
    const group = event.target.closest("[data-group]")?.dataset.group || "";
    const number = Number(/^fills\[(\d+)\]/.exec(group)?.[1] || 0);
    if (number) select(number, side);
  });
  form.addEventListener("click", (event) => {
    const button = event.target.closest("button");
    if (!button) return;
    if (button.matches(".every")) {
      const blank = button.closest(".days");
      for (const box of blank.querySelectorAll("input")) box.checked = true;
      look(blank);
      return;
    }
    const { add, remove, offer } = button.dataset, asked = add ? { add } : offer ? { offer } : { remove };
    const part = button.closest(".part").id;
    ++turn;
    writes = writes.then(async () => {
      show(await ask(`${base}/write/${form.dataset.number}/items`, { ...asked, fill, side }));
      const groups = find(part).querySelectorAll(".group");
      if (asked.add) groups[groups.length - 1]?.querySelector("input, select")?.focus();
      else find(part).focus();
    });
  });
  for (const tab of document.querySelectorAll("[data-side]")) tab.addEventListener("click", () => select(fill, Number(tab.dataset.side)));
  // Somebody may have been quicker than this script.
  for (const blank of form.querySelectorAll("input[data-path]")) if (blank.value !== blank.defaultValue) (blank === document.activeElement ? look : write)(blank);
}

// ---- a prescription file: what was not understood is told before the draft is opened

find("prescription")?.addEventListener("submit", async (event) => {
  event.preventDefault();
  const answer = await ask(`${base}/prescription`, event.target.querySelector("input").files[0]);
  find("understood").innerHTML = answer.ok ? `${answer.boxes}<p><a class="button" href="${answer.go}">Go on to the draft</a></p>` : "";
  if (!answer.ok) find("understood").textContent = answer.told;
});

// ---- a form that goes elsewhere waits for what is still being written

for (const waiting of document.querySelectorAll("form[data-waits]")) {
  waiting.addEventListener("submit", async (event) => {
    event.preventDefault();
    await writes;
    HTMLFormElement.prototype.submit.call(waiting);
  });
}

// ---- check: rows by the number of fills; what was typed, read back

const check = find("check");
if (check) {
  const addRow = (list, template, number) => {
    const row = template.content.firstElementChild.cloneNode(true);
    row.innerHTML = row.innerHTML.replaceAll("-N", `-${number}`).replaceAll(" N", ` ${number}`);
    list.append(row);
    return row;
  };
  const fitFills = () => {
    const count = Math.min(Number(check.elements.count.value) || 0, 12), rows = find("fills");
    while (rows.children.length < count) addRow(rows, find("fill-row"), rows.children.length + 1);
    // A row with something in it stays until its writer empties it: nothing typed is lost to a slip in a number.
    while (rows.children.length > count && ![...rows.lastElementChild.querySelectorAll("input:not([type])")].some((each) => each.value)) rows.lastElementChild.remove();
  };
  check.elements.count.addEventListener("input", fitFills);
  fitFills(); // somebody may have been quicker than this script
  find("more-labels").addEventListener("click", () => {
    const rows = find("labels");
    if (rows.children.length < 10) addRow(rows, find("label-row"), rows.children.length + 1).querySelector("input").focus();
  });
  find("read-back").addEventListener("click", async () => {
    const answer = await ask(`${base}/check/${check.dataset.number}/read`, new URLSearchParams(new FormData(check)), true);
    if (!answer.ok) return;
    find("typed").innerHTML = answer.typed;
    for (const slip of check.querySelectorAll("[data-slip]")) {
      const wanted = answer.slips[slip.dataset.slip];
      slip.textContent = wanted ? `Wanted: ${wanted}` : "";
      const field = check.elements[slip.dataset.slip];
      if (wanted) field.setAttribute("aria-invalid", "true"); else field.removeAttribute("aria-invalid");
    }
    const slips = Object.keys(answer.slips);
    find("compare").disabled = slips.length > 0;
    if (slips.length) check.elements[slips[0]]?.focus(); else find("compare").focus();
  });
  check.addEventListener("input", () => { find("compare").disabled = true; });
  check.addEventListener("keydown", (event) => { if (event.key === "Enter" && event.target.matches("input")) event.preventDefault(); });
}
