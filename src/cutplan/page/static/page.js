// The page: its parts fetched, what is pressed sent, and what others do shown.
import {all, load, loadAll} from "./parts.js";
import {begin as beginPhotograph} from "./photograph.js";
import {begin as beginStart, loadBand} from "./start.js";
import {begin as beginSurvey} from "./survey.js";
import {listen, record, sendKept} from "./talk.js";

const fieldsOf = (form) => {
  const fields = {what: form.dataset.record};
  for (const each of form.elements) {
    if (each.name) fields[each.name] = "whole" in each.dataset ? Number.parseInt(each.value, 10) || 0 : each.value;
  }
  return fields;
};

document.addEventListener("submit", async (event) => {
  event.preventDefault();
  const form = event.target;
  if (!form.dataset.record) return;
  const fields = fieldsOf(form);
  form.reset();
  form.closest("details.deed")?.removeAttribute("open");
  await record(fields);
  load("table");
});

document.addEventListener("click", (event) => {
  const button = event.target.closest("[data-ask]");
  if (button) load(button.dataset.ask);
});

beginPhotograph();
beginStart();
beginSurvey();
loadAll(all());
sendKept();
listen((index) => [() => loadAll(all()), () => load("table"), loadBand][index]());
