// The survey: a measure is sent when it is left, and a measure in a drawing is changed where it stands.
import {load} from "./parts.js";
import {ask, tell} from "./talk.js";

async function edit(field, was = field.dataset.was) {
  const {value} = field;
  if (value === field.dataset.was || value === field.dataset.sent) return;
  field.dataset.sent = value;
  const answer = await ask("edit", {path: JSON.parse(field.dataset.path), value, was});
  const clash = field.closest(".asked")?.querySelector(".clash");
  delete field.dataset.sent;
  if (!answer) return;
  if (answer.error) {
    if ("now" in answer && clash) offer(field, clash, answer);
    else tell(answer, field);
    return;
  }
  if (clash) clash.hidden = true;
  field.dataset.was = value;
  tell({});
}

// What was typed while nobody answered is sent when somebody does again.
function sendTyped() {
  for (const field of document.querySelectorAll("[data-path]")) {
    if (field !== document.activeElement && !field.closest(".asked").querySelector(".clash:not([hidden])")) edit(field);
  }
}

// Two hands changed one measure: neither version is lost before somebody chooses.
function offer(field, clash, {error, now}) {
  const told = document.createElement("p");
  told.className = "fault";
  told.textContent = error;
  const buttons = [[`Take ${now || "nothing"}`, () => { field.value = now; field.dataset.was = now; clash.hidden = true; load("paper"); load("room"); }], [`Write ${field.value || "nothing"}`, () => edit(field, now)]];
  clash.replaceChildren(told, ...buttons.map(([label, act]) => {
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = label;
    button.addEventListener("click", act);
    return button;
  }));
  clash.hidden = false;
}

async function change(fields, near) {
  const answer = await ask("change", fields);
  if (answer) tell(answer, near);
  return answer && !answer.error;
}

// A field over the drawing, where the measure stands; it writes what the field below it writes.
function editThere(text) {
  const field = document.getElementById(text.dataset.for), holder = text.closest(".sheet");
  if (!field) return;
  const box = text.getBoundingClientRect(), frame = holder.getBoundingClientRect();
  const there = document.createElement("input");
  there.className = "there";
  there.value = field.value;
  there.setAttribute("aria-label", field.labels[0].textContent);
  there.style.left = `${Math.max(box.left + box.width / 2 - frame.left - 56, 0)}px`;
  there.style.top = `${box.top + box.height / 2 - frame.top - 22}px`;
  holder.append(there);
  there.select();
  there.focus();
  let isOver = false;
  const leave = (writes) => {
    if (isOver) return;
    isOver = true;
    there.remove();
    if (writes && there.value !== field.value) { field.value = there.value; edit(field); }
  };
  there.addEventListener("blur", () => leave(true));
  there.addEventListener("keydown", (event) => {
    if (event.key === "Enter") leave(true);
    if (event.key === "Escape") leave(false);
  });
}

export function begin() {
  for (const left of ["change", "focusout"]) {
    document.addEventListener(left, ({target}) => { if (target.dataset.path && !("replaced" in target.dataset)) edit(target); });
  }
  document.addEventListener("answered", sendTyped);
  document.addEventListener("click", (event) => {
    const button = event.target.closest("[data-change]"), measured = event.target.closest(".measured");
    if (button) change(JSON.parse(button.dataset.change), button);
    if (measured) editThere(measured);
  });
  document.addEventListener("submit", async (event) => {
    const form = event.target, {breast, stock} = form.dataset;
    if (breast !== undefined) {
      await change({...Object.fromEntries(new FormData(form)), what: "breast", wall: Number(breast)}, form);
    } else if (stock !== undefined) {
      const {count, first_motif: motif, batch} = form.elements;
      if (await change({what: "roll", count: Number.parseInt(count.value, 10) || 1, first_motif: motif?.value || "", batch: batch.value}, form)) form.reset();
    } else if (form.id === "name-form") {
      const answer = await ask("name", {name: form.elements.name.value});
      if (answer?.error) tell(answer, form);
      else if (answer) location.reload();
    }
  });
}
