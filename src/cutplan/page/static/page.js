// The page: its parts fetched, what is pressed sent, and what others do shown.
import {all, load, loadAll} from "./parts.js";
import {begin as beginPhotograph} from "./photograph.js";
import {begin as beginStart, loadBand} from "./start.js";
import {begin as beginSurvey} from "./survey.js";
import {ask, listen, record, sendKept, tell} from "./talk.js";

const fieldsOf = (form) => {
  const fields = {what: form.dataset.record};
  for (const each of form.elements) {
    if (each.name) fields[each.name] = each.type === "checkbox" ? each.checked : "whole" in each.dataset ? Number.parseInt(each.value, 10) || 0 : each.value;
  }
  return fields;
};

document.addEventListener("submit", async (event) => {
  event.preventDefault();
  const form = event.target;
  if (form.id === "fit-form") {
    const answer = await ask("fit", fieldsOf(form)), told = document.getElementById("fit-said");
    told.hidden = false;
    told.textContent = answer ? answer.error || answer.said : "";
  }
  if (!form.dataset.record) return;
  if ("sending" in form.dataset) return;
  form.dataset.sending = "";
  const answer = await record(fieldsOf(form));
  delete form.dataset.sending;
  if (answer) tell(answer.error ? answer : {said: "Recorded."}, form);
  if (answer?.error) return;
  form.reset();
  form.closest("details.deed")?.removeAttribute("open");
  load("table");
});

document.addEventListener("click", (event) => {
  const button = event.target.closest("[data-ask]");
  if (button) load(button.dataset.ask);
});

// Against the clock on the wall: how long something soaks yet, how far behind the timetable one is.
function tick() {
  for (const each of document.querySelectorAll("time[data-by]")) {
    const minutes = Math.round((new Date(each.dateTime) - Date.now()) / 60000), all = Math.abs(minutes), over = all < 60 ? `${all} min` : `${Math.floor(all / 60)} h ${all % 60} min`;
    const [before, after, now] = each.dataset.by === "soak" ? [`${over} to soak yet`, `soaked ${over} ago`, "soaked now"] : [`in ${over}`, `${over} behind`, "now"];
    each.textContent = minutes > 0 ? before : minutes < 0 ? after : now;
    each.classList.toggle("over", minutes < 0);
  }
}
setInterval(tick, 5000);
document.addEventListener("placed", tick);

beginPhotograph();
document.getElementById("new-code")?.addEventListener("click", async () => {
  const answer = await ask("phone", {});
  if (!answer?.svg) return;
  const code = document.getElementById("code");
  code.innerHTML = answer.svg;
  code.firstChild.setAttribute("role", "img");
  code.firstChild.setAttribute("aria-label", `A code for one phone: ${answer.address}`);
});

beginStart();
beginSurvey();
loadAll(all());
sendKept();
document.addEventListener("banded", () => load("customer"));
listen((index) => [() => loadAll(all()), () => load("table"), loadBand][index]());
