// @ts-check
// What the page does by itself: it sends what is typed (the last one wins), puts the answer in place, follows
// what happens to the folder, and moves about in pictures. It works nothing out.

const { file, block, view } = document.body.dataset;
let checksum = document.body.dataset.checksum ?? "";

/** @typedef {{block: string, key: string, text: string, was: string, checksum: string}} Patch */
/** @typedef {{parts?: Record<string, string>, typed?: Record<string, string>, checksum?: string, stale?: boolean, go?: string, clash?: {html: string, checksum: string, theirs: string}, said?: string, look?: boolean, ends?: [string, string]}} Told */
/** @typedef {HTMLInputElement | HTMLSelectElement} Field */

/** @param {string} id */
const at = (id) => document.getElementById(id);

/** @param {string} words */
const tell = (words) => {
  const told = at("told");
  if (told) told.textContent = words;
};

/** @param {string} path @param {unknown} what @returns {Promise<Told>} */
async function ask(path, what) {
  try {
    const answer = await fetch(path, {
      method: "POST",
      headers: { "content-type": "application/json" },
      body: JSON.stringify(what),
    });
    return await answer.json();
  } catch {
    return { said: "The program does not answer: is it still running? What you typed is still here." };
  }
}

/** What was put where. @type {WeakMap<HTMLElement, string>} */
const placed = new WeakMap();

/** @param {Told} told @param {boolean} [fields] */
function place(told, fields = true) {
  tell(told.said ?? "");
  if (told.go) {
    location.href = told.go;
    return;
  }
  for (const [id, html] of Object.entries(told.parts ?? {})) {
    const spot = at(id);
    // At a part, what says what it said stays: laying it out anew takes longer than the answer.
    const stays = spot && view === "part" && placed.get(spot) === html && !spot.querySelector("input, select");
    if (spot && !stays && !busy(spot)) {
      spot.innerHTML = html;
      placed.set(spot, html);
    }
  }
  zoomed();
  at("pictures")?.classList.toggle("stale", told.stale ?? false);
  at("results")?.classList.toggle("stale", told.stale ?? false);
  if (told.checksum && fields) {
    checksum = told.checksum;
    if (told.typed && block) fill(told.typed);
  }
}

/** Whether somebody is typing in there. @param {HTMLElement} spot */
const busy = (spot) => {
  const now = document.activeElement;
  return now instanceof HTMLInputElement && spot.contains(now) && now.value !== now.dataset.saved;
};

/** Puts what stands in the file into the fields, but for one that is being typed. @param {Record<string, string>} typed */
function fill(typed) {
  for (const it of fields()) {
    if (it.dataset.block !== block) continue;
    const value = typed[it.name] ?? "";
    const dirty = it.value !== it.dataset.saved;
    if (!dirty) {
      it.value = value;
      it.dataset.saved = value;
    }
    mark(it);
  }
}

/** @param {Field} it */
function mark(it) {
  it.closest(".field")?.classList.toggle("changed", it.value !== "" && it.value !== it.getAttribute("placeholder"));
}

/** @returns {Field[]} */
const fields = () => [...document.querySelectorAll("[data-saved]")].filter(isField);

/** @param {unknown} it @returns {it is Field} */
const isField = (it) => (it instanceof HTMLInputElement || it instanceof HTMLSelectElement) && it.dataset.saved !== undefined;

/** @param {Field} it @returns {Patch} */
const patch = (it) => ({
  block: it.dataset.block ?? "",
  key: it.name,
  text: it.value,
  was: it.dataset.saved ?? "",
  checksum: it.dataset.base ?? checksum,
});

// What is typed is tried; while one answer is awaited only the last is kept.
let awaited = false;
/** @type {unknown} */
let next;
let renewed = false;
/** The fields take what the file says if that was changed. @param {unknown} what @param {boolean} changed */
async function attempt(what, changed) {
  next = what;
  renewed ||= changed;
  if (awaited) return;
  awaited = true;
  while (next) {
    const now = next;
    next = undefined;
    const told = await ask("/try", now);
    if (next) continue;
    place(told, renewed);
    // An answer that tells no file leaves the fields to the next one.
    if (told.checksum) renewed = false;
  }
  awaited = false;
}

/** Tries the part with what is being typed, so that no answer without it comes last. */
function tryPart(changed = false) {
  if (view !== "part") return;
  const it = document.activeElement;
  const typed = isField(it) && it.value !== it.dataset.saved ? patch(it) : null;
  attempt({ ask: "try", file, block, patch: typed, focus: isField(it) ? it.name : null }, changed);
}

document.addEventListener("focusin", ({ target }) => {
  if (!isField(target)) return;
  target.dataset.base ??= checksum;
  tryPart();
});

document.addEventListener("input", ({ target }) => {
  if (!isField(target)) return;
  mark(target);
  tryPart();
});

document.addEventListener("focusout", ({ target }) => {
  if (!isField(target)) return;
  if (target.value === target.dataset.saved) {
    delete target.dataset.base;
    tryPart();
  }
});

/** @type {{field: Field, patch: Patch} | undefined} */
let disputed;
/** @param {Field} it @param {Patch} [made] */
async function write(it, made = patch(it)) {
  const told = await ask("/edit", { file, page: block, patch: made });
  if (told.clash) {
    disputed = { field: it, patch: { ...made, was: told.clash.theirs, checksum: told.clash.checksum } };
    const spot = at("clash");
    if (spot) spot.innerHTML = told.clash.html;
    return;
  }
  if (told.said && !told.checksum) {
    place(told);
    return;
  }
  it.dataset.saved = made.text;
  delete it.dataset.base;
  place(told);
}

document.addEventListener("change", ({ target }) => {
  if (isField(target) && target.value !== target.dataset.saved) write(target);
});

document.addEventListener("keydown", (event) => {
  const { target, key } = event;
  if (!isField(target) || !(target instanceof HTMLInputElement)) return;
  if (key === "Enter") {
    event.preventDefault();
    if (target.value !== target.dataset.saved) write(target);
  } else if (key === "Escape") {
    target.value = target.dataset.saved ?? "";
    mark(target);
    tryPart();
  }
});

document.addEventListener("submit", async (event) => {
  const form = event.target;
  if (!(form instanceof HTMLFormElement)) return;
  event.preventDefault();
  const { ask: kind, file: of } = form.dataset;
  if (!kind) return;
  /** @type {Record<string, unknown>} */
  const values = {};
  const data = new FormData(form);
  for (const name of data.keys()) {
    const all = data.getAll(name);
    values[name] = all.length > 1 ? all : all[0];
  }
  const made = { ask: kind, ...values, ...(of ? { file: of } : {}), ...(kind.startsWith("add-") ? { checksum } : {}) };
  const writes = event.submitter instanceof HTMLButtonElement && event.submitter.name === "write";
  place(await ask(writes ? "/redrill" : (form.dataset.to ?? "/do"), made));
});

document.addEventListener("click", async ({ target }) => {
  if (!(target instanceof HTMLButtonElement)) return;
  const { fix, keep, remove, zoom, do: what } = target.dataset;
  if (fix !== undefined) {
    const field = target.closest(".field")?.querySelector("[data-saved]");
    if (isField(field)) {
      field.value = fix;
      field.focus();
      write(field);
    }
  } else if (keep !== undefined && disputed) {
    const { field, patch: mine } = disputed;
    const spot = at("clash");
    if (spot) spot.innerHTML = "";
    if (keep === "yours") {
      write(field, mine);
    } else {
      field.value = mine.was;
      field.dataset.saved = mine.was;
      delete field.dataset.base;
      refresh();
    }
    field.focus();
  } else if (remove !== undefined) {
    place(await ask("/do", { ask: "remove", file, block: remove, checksum }));
  } else if (zoom !== undefined) {
    scale = zoom === "0" ? 1 : Math.min(12, Math.max(1, scale * Number(zoom)));
    zoomed();
  } else if (what === "undo") {
    place(await ask("/undo", { file, page: block }));
  } else if (what !== undefined) {
    const seconds = at("seconds");
    const typed = seconds instanceof HTMLInputElement ? seconds.value.trim() : "";
    place(await ask(`/work/${what}`, { file, seconds: typed === "" ? null : Number(typed) }), false);
  }
});

document.addEventListener("change", async ({ target }) => {
  if (target instanceof HTMLInputElement && target.dataset.tick !== undefined) {
    place(await ask("/tick", { ask: "tick", tick: target.dataset.tick, done: target.checked, sheets: document.body.dataset.sheets }));
  }
});

// From one place of a plate to another: named in two fields, or pointed at one after the other.
const between = at("between");
/** @param {string} name @returns {Field | undefined} */
const end = (name) => {
  const it = between?.querySelector(`[name=${name}]`);
  return it instanceof HTMLInputElement || it instanceof HTMLSelectElement ? it : undefined;
};
async function measure() {
  const [plate, from, to] = [end("plate"), end("from"), end("to")];
  if (!plate || !from || !to) return;
  const told = await ask("/try", { ask: "distance", file, block, plate: Number(plate.value), from: from.value, to: to.value });
  place(told, false);
  if (told.ends) [from.value, to.value] = told.ends;
}
between?.addEventListener("submit", measure);
/** @type {[number, number]} */
let pressed = [0, 0];
document.addEventListener("pointerdown", (event) => (pressed = [event.clientX, event.clientY]));
document.addEventListener("click", (event) => {
  const svg = event.target instanceof Element ? event.target.closest("[data-plate] svg") : null;
  const [plate, from, to] = [end("plate"), end("from"), end("to")];
  const moved = Math.hypot(event.clientX - pressed[0], event.clientY - pressed[1]) > 4;
  const way = svg instanceof SVGSVGElement ? svg.getScreenCTM() : null;
  if (!(svg && way && plate && from && to) || moved) return;
  const { x, y } = new DOMPoint(event.clientX, event.clientY).matrixTransform(way.inverse());
  const shown = svg.closest("[data-plate]")?.getAttribute("data-plate") ?? "0";
  if (plate.value !== shown || (from.value && to.value)) from.value = to.value = "";
  plate.value = shown;
  const fold = between?.closest("details");
  if (fold) fold.open = true;
  (from.value ? to : from).value = `pointed at ${x} ${y}`;
  measure();
});

// Pictures: larger and smaller by buttons, and moved by hand.
let scale = 1;
function zoomed() {
  for (const pan of document.querySelectorAll(".pan")) {
    const svg = pan.querySelector(":scope > svg, :scope > img");
    pan.classList.toggle("zoomed", scale > 1);
    if (svg instanceof SVGElement || svg instanceof HTMLElement) svg.style.width = scale > 1 ? `${100 * scale}%` : "";
    if (pan instanceof HTMLElement) pan.style.maxHeight = scale > 1 ? "75vh" : "";
  }
}

document.addEventListener("pointerdown", (event) => {
  const pan = event.target instanceof Element ? event.target.closest(".pan") : null;
  if (!pan || event.pointerType !== "mouse") return;
  event.preventDefault();
  const [x, y] = [event.clientX + pan.scrollLeft, event.clientY + pan.scrollTop];
  /** @param {PointerEvent} moved */
  const move = (moved) => {
    pan.scrollLeft = x - moved.clientX;
    pan.scrollTop = y - moved.clientY;
  };
  document.addEventListener("pointermove", move);
  document.addEventListener("pointerup", () => document.removeEventListener("pointermove", move), { once: true });
});

async function refresh() {
  if (view === "part") tryPart(true);
  else if (view === "job") place(await ask("/try", { ask: "job", file }));
  else if (view === "unreadable" || view === "table") location.reload();
  else if (view === "folder" && !(document.activeElement instanceof HTMLInputElement)) location.reload();
}

// While a layout is searched its sheets are looked at: the next time once this one is shown.
let looking = false;
let found = 0;
async function look() {
  if (looking) return;
  looking = true;
  const before = found;
  const told = await ask("/work/shown", { file, seconds: null });
  // What was asked before the search was over is older than what it told at its end.
  if (found === before) place(told, false);
  looking = false;
}

const events = new EventSource("/events");
events.addEventListener("changed", ({ data }) => {
  const names = JSON.parse(data);
  if (view === "folder" || (view === "table" ? names.includes("out/report.json") || names.includes("at-the-table.json") : names.includes(file))) refresh();
});
events.addEventListener("work", ({ data }) => {
  const told = JSON.parse(data);
  if (told.file !== file) return;
  if (!told.look) found += 1;
  place(told, false);
  if (told.look) look();
});
if (at("work")) look();
