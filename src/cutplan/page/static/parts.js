// The parts of the page: fetched one by one, and put in place without losing what is being typed or where one is.
import {ask} from "./talk.js";

const running = new Map();

export const partOf = (name) => document.querySelector(`[data-part="${name}"]`);

// Nothing is put in place under a finger that is down: what it would touch when it is lifted must still be there.
let lifted = Promise.resolve();
document.addEventListener("pointerdown", () => {
  lifted = new Promise((resolve) => {
    for (const end of ["pointerup", "pointercancel"]) document.addEventListener(end, () => setTimeout(resolve), {once: true, capture: true});
  });
}, {capture: true});

export async function load(name) {
  running.get(name)?.abort();
  const controller = new AbortController();
  running.set(name, controller);
  const answer = await ask(`part/${name}`, null, controller.signal);
  await lifted;
  if (answer && running.get(name) === controller) place(name, answer.html);
}

// What is typed and not sent yet, what is unfolded, and where one is, by the ids and names within a part.
function stateOf(part) {
  const key = (each) => each.id || each.dataset.key || `${each.form?.dataset.record || each.form?.dataset.breast || ""} ${each.form?.elements.piece?.value || each.form?.elements.roll?.value || ""} ${each.name}`;
  const fields = [...part.querySelectorAll("input:not([type=hidden]), select")];
  return {
    typed: new Map(fields.filter((each) => each.value !== each.defaultValue && !["checkbox", "file"].includes(each.type)).map((each) => [key(each), [each.value, each.dataset.was]])),
    open: new Set([...part.querySelectorAll("details[open] > summary")].map((each) => each.id || each.dataset.key || each.textContent)),
    at: part.contains(document.activeElement) ? key(document.activeElement) : null,
    marked: [document.activeElement?.selectionStart, document.activeElement?.selectionEnd],
    key,
  };
}

export function place(name, html) {
  const part = partOf(name);
  if (!part) return;
  const before = stateOf(part);
  // An answer that stood within it is asked for again: it may be another now.
  const answered = [...part.querySelectorAll("[data-part]:not([data-waits])")].map((each) => each.dataset.part);
  // A browser lets a field that is taken out say that it was left: it was not, and half a measure is not written.
  if (before.at) document.activeElement.dataset.replaced = "";
  part.innerHTML = html;
  // What a job of this kind has not is empty, and not shown; a part within another stays with it.
  const section = part.parentElement;
  if (section.tagName === "SECTION") {
    section.hidden = !html.trim();
    document.querySelector(`nav a[href="#${name}-heading"]`).parentElement.hidden = section.hidden;
  }
  answered.forEach(load);
  part.removeAttribute("data-waits");
  part.removeAttribute("aria-busy");
  for (const field of part.querySelectorAll("input:not([type=hidden]), select")) {
    if (!before.typed.has(before.key(field)) || field.tagName !== "INPUT") continue;
    const [value, was] = before.typed.get(before.key(field));
    if (was !== undefined && was !== field.dataset.was && value === field.value) continue;
    field.value = value;
    if (was !== undefined) field.dataset.was = was;
  }
  for (const summary of part.querySelectorAll("summary")) {
    if (before.open.has(summary.id || summary.dataset.key || summary.textContent)) summary.parentElement.open = true;
  }
  if (before.at) {
    const again = [...part.querySelectorAll("input, select, button, summary")].find((each) => before.key(each) === before.at);
    again?.focus({preventScroll: true});
    if (typeof again?.selectionStart === "number" && typeof before.marked[0] === "number") again.setSelectionRange(...before.marked);
  }
  part.dispatchEvent(new CustomEvent("placed", {bubbles: true, detail: name}));
}

// One after another, what is worked with first; when everything changes again, what is left of this is dropped.
const ORDER = ["paper", "room", "parts", "start", "table", "rolls", "photograph", "customer"];
let chain = 0;

export async function loadAll(names) {
  const mine = chain += 1;
  for (const name of ORDER.filter((each) => names.includes(each))) {
    await load(name);
    if (mine !== chain) return;
  }
}

export const all = () => [...document.querySelectorAll("main > section [data-part]")].filter((part) => !("waits" in part.dataset)).map((part) => part.dataset.part);
