// The start under the finger: what only moves is moved here at once; what it costs is asked, the last place alone.
import {load, partOf} from "./parts.js";
import {ask, tell} from "./talk.js";

const RESTS = 250;
let finger = null, state = null, shown = null, own = null, busy = false, moves = false, rests = false, resting = 0;

const byId = (id) => document.getElementById(id);
const inMm = (mm) => `${Math.round(mm * 100) / 100} mm`;
const svgElement = (tag, attributes, text) => {
  const made = document.createElementNS("http://www.w3.org/2000/svg", tag);
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
  if (text !== undefined) made.textContent = text;
  return made;
};

// Asking: one question at a time, and of those that wait only the last. The height of the print is told once it was
// moved by hand; till then it is what the file says.

function move(change) {
  Object.assign(state, change);
  delete finger.dataset.settled;
  moves = true;
  clearTimeout(resting);
  resting = setTimeout(rest, RESTS);
  askNext();
}

function rest() {
  rests = true;
  askNext();
}

async function askNext() {
  if (busy || !(moves || rests)) return;
  busy = true;
  const asked = {...state}, of = finger, isRest = !moves;
  if (isRest) asked.rests = true;
  else moves = false;
  rests = rests && !isRest;
  const answer = await ask("start", asked);
  busy = false;
  if (of === finger && answer) {
    if (answer.error) byId("start-rolls").textContent = answer.error;
    else show(answer);
    if (isRest && !moves) {
      finger.dataset.settled = "";
      loadBand();
    }
  }
  askNext();
}

// Showing

function show(answer) {
  shown = answer;
  const rolls = byId("start-rolls");
  rolls.textContent = answer.rolls;
  rolls.classList.toggle("long", answer.rolls.length > 12);
  if (!dragged && !moves) {
    own = {wall: answer.wall, at: answer.at, drop: answer.drop};
    Object.assign(state, {wall: answer.wall, at: answer.at_text});
  }
  const holder = byId("moving");
  while (holder.children.length > answer.pictures.length) holder.lastChild.remove();
  answer.pictures.forEach((picture, index) => {
    if (!holder.children[index]) {
      const made = document.createElement("div");
      made.className = "moving-wall";
      made.append(document.createElement("div"));
      holder.append(made);
    }
    holder.children[index].firstChild.innerHTML = picture.svg;
  });
  placeHandles();
  byId("start-facts").replaceChildren(...answer.facts.flatMap(([name, value]) => {
    const term = document.createElement("dt"), fact = document.createElement("dd");
    term.textContent = name;
    fact.textContent = value;
    return [term, fact];
  }));
  for (const [name, text] of [["at", answer.at_text], ["drop", answer.drop_text]]) {
    const field = byId("start-form").elements[name];
    if (field && field !== document.activeElement) field.value = text;
  }
  byId("start-form").elements.wall.value = answer.wall;
  if (answer.notices) {
    byId("start-notices").replaceChildren(...answer.notices.map((text) => {
      const item = document.createElement("li");
      item.textContent = text;
      return item;
    }));
    byId("start-walls").innerHTML = answer.walls.map((svg) => `<div>${svg}</div>`).join("");
  }
  drawBand();
}

function handle(id, label, orientation) {
  const made = document.createElement("div");
  made.id = id;
  made.tabIndex = 0;
  for (const [name, value] of [["role", "slider"], ["aria-label", label], ["aria-orientation", orientation], ["aria-valuemin", 0]]) made.setAttribute(name, value);
  return made;
}

function placeHandles() {
  const {wall, at, drop} = own;
  const index = shown.pictures.findIndex((each) => each.faces.some((face) => face.wall === wall && face.left <= at && at <= face.right));
  const picture = shown.pictures[Math.max(index, 0)], holder = byId("moving").children[Math.max(index, 0)];
  const face = picture.faces.find((each) => each.wall === wall && each.left <= at && at <= each.right) || picture.faces[0];
  const [left, top, width, height] = picture.box;
  const across = (face.x + (at - face.left) * picture.per_mm - left) / width * 100;
  const plumb = byId("plumb") || handle("plumb", "Plumb line: where hanging begins, from the left of the wall", "horizontal");
  plumb.style.left = `${across}%`;
  plumb.setAttribute("aria-valuenow", Math.round(at));
  plumb.setAttribute("aria-valuemax", Math.round(face.right));
  plumb.setAttribute("aria-valuetext", `${state.at} from the left of ${face.name}`);
  if (plumb.parentElement !== holder) holder.append(plumb);
  if ("free" in finger.dataset) return;
  const motif = byId("motif") || handle("motif", "First motif: how far it hangs below the level line", "vertical");
  motif.style.left = `${across}%`;
  motif.style.top = `${((picture.top - shown.level + drop) * picture.per_mm - top) / height * 100}%`;
  motif.setAttribute("aria-valuenow", Math.round(drop));
  motif.setAttribute("aria-valuemax", Math.round(finger.dataset.repeat));
  motif.setAttribute("aria-valuetext", `${shown.drop_text} below the level line`);
  if (motif.parentElement !== holder) holder.append(motif);
}

// The band

let band = null;

export async function loadBand() {
  if (!finger) return;
  const answer = await ask("band");
  if (answer) { band = answer; drawBand(); }
}

function runsOf(places) {
  const runs = [];
  for (const [at, rolls, isProved] of places) {
    const last = runs[runs.length - 1];
    if (last && last.rolls === rolls && last.isProved === isProved) last.to = at;
    else runs.push({from: at, to: at, rolls, isProved});
  }
  return runs;
}

function drawBand() {
  const svg = byId("band");
  const picture = shown?.pictures.find((each) => each.faces.some((face) => face.wall === shown.wall));
  if (!svg || !band || !picture) return;
  const face = picture.faces.find((each) => each.wall === shown.wall), [left, , width] = picture.box;
  const x = (at) => face.x + (at - face.left) * picture.per_mm;
  const within = band.places.filter(([at]) => at >= face.left && at <= face.right);
  const known = within.map(([, rolls]) => rolls).filter((rolls) => rolls !== null);
  const least = Math.min(...known), most = Math.max(...known), step = most > least ? 34 / (most - least) : 0;
  const half = within.length > 1 ? (within[1][0] - within[0][0]) / 2 : 5;
  svg.setAttribute("viewBox", `${left} 0 ${width} 78`);
  svg.replaceChildren();
  const runs = runsOf(within);
  for (const {from, to, rolls, isProved} of runs) {
    const begin = x(Math.max(from - half, face.left)), end = x(Math.min(to + half, face.right));
    if (rolls === null) continue;
    const high = 14 + (rolls - least) * step;
    svg.append(svgElement("rect", {x: begin, y: 76 - high, width: end - begin, height: high, fill: rolls === least ? "#fff" : "#d8d8d8", stroke: "#000", "stroke-width": 1.5, "stroke-dasharray": isProved ? "none" : "3 3"}));
    if (end - begin > 26) svg.append(svgElement("text", {x: (begin + end) / 2, y: 72 - high + (high > 30 ? 24 : 0), "font-size": 20, "font-weight": "bold", "text-anchor": "middle"}, rolls));
  }
  for (const [at] of band.front) {
    if (at >= face.left && at <= face.right) svg.append(svgElement("path", {d: `M${x(at)} 77l-7 -12h14Z`, fill: "#000"}));
  }
  svg.append(svgElement("path", {d: `M${x(own.at)} 0V78`, stroke: "#000", "stroke-width": 3, "stroke-dasharray": "1 6", "stroke-linecap": "round"}));
  const amount = (many) => `${many} ${band.unit === "rolls" && many === 1 ? "roll" : band.unit}`;
  const where = known.length < within.length ? "where a number stands; elsewhere hanging cannot begin or the rolls are too few" : least === most ? "everywhere on this wall" : "along this wall";
  const said = known.length ? `${least === most ? "" : `${least} to `}${amount(most)} ${where}` : band.whole ? "Nowhere on this wall are the rolls enough" : "Being worked out";
  byId("band-said").textContent = `${said}${band.whole ? "." : ` so far (${band.places.length} of ${band.of} places) …`} ▲ marks the places worth choosing from.`;
  svg.setAttribute("aria-label", runs.filter((run) => run.rolls !== null).slice(0, 30).map((run) => `${amount(run.rolls)} from ${run.from} to ${run.to} mm`).join("; ") || "Being worked out");
  showWorth();
}

function showWorth() {
  const names = band.whole ? band.front.slice(0, 6) : [];
  const holder = byId("worth"), key = JSON.stringify(names);
  if (holder.dataset.key === key) return;
  holder.dataset.key = key;
  if (band.whole) document.dispatchEvent(new CustomEvent("banded"));
  holder.replaceChildren(...names.map(([at, worth]) => {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "pale";
    button.textContent = `▲ ${worth}`;
    button.addEventListener("click", () => move({at: inMm(at)}));
    return button;
  }));
}

// The finger

let dragged = null;

function pointOf(event, holder) {
  const picture = shown.pictures[[...holder.parentElement.children].indexOf(holder)];
  const frame = holder.getBoundingClientRect(), [left, top, width, height] = picture.box;
  const x = left + (event.clientX - frame.left) / frame.width * width, y = top + (event.clientY - frame.top) / frame.height * height;
  const face = picture.faces.findLast((each) => each.x <= x) || picture.faces[0];
  const along = Math.min(Math.max(face.left + (x - face.x) / picture.per_mm, face.left), face.right);
  return {wall: face.wall, along, height: picture.top - y / picture.per_mm};
}

const steps = () => ("imperial" in finger.dataset ? {large: 25.4 / 4, small: 25.4 / 16} : {large: 10, small: 1});
const rounded = (mm) => Math.round(mm / steps().large) * steps().large;

function follow(event) {
  const point = pointOf(event, dragged.holder);
  if (dragged.isMotif) {
    const repeat = Number(finger.dataset.repeat), drop = Math.min(Math.max(rounded(shown.level - point.height), 0), repeat - steps().small);
    own.drop = drop;
    move({drop: inMm(drop)});
    placeHandles();
  } else {
    own = {...own, wall: point.wall, at: rounded(point.along)};
    move({wall: own.wall, at: inMm(own.at), drags: true});
    if (point.wall === shown.wall) placeHandles();
  }
}

function watch(part) {
  finger = part.querySelector("#finger");
  if (!finger) return;
  state = JSON.parse(finger.dataset.start);
  const holder = byId("moving");
  holder.addEventListener("pointerdown", (event) => {
    const wall = event.target.closest(".moving-wall");
    if (!wall || event.button) return;
    dragged = {holder: wall, isMotif: event.target.id === "motif", x: event.clientX, moves: false};
    wall.setPointerCapture(event.pointerId);
    event.target.closest("[role=slider]")?.focus({preventScroll: true});
  });
  holder.addEventListener("pointermove", (event) => {
    if (!dragged) return;
    dragged.moves ||= dragged.isMotif || Math.abs(event.clientX - dragged.x) > 3;
    if (dragged.moves) follow(event);
  });
  holder.addEventListener("pointerup", (event) => {
    if (dragged && !dragged.moves && event.pointerType === "mouse") follow(event);
    dragged = null;
    rest();
  });
  holder.addEventListener("pointercancel", () => { dragged = null; });
  holder.addEventListener("keydown", (event) => {
    const way = {ArrowLeft: -1, ArrowRight: 1, ArrowUp: 1, ArrowDown: -1}[event.key];
    if (!way || !shown) return;
    event.preventDefault();
    const size = event.shiftKey ? steps().small : steps().large;
    if (event.target.id === "motif") {
      const repeat = Number(finger.dataset.repeat);
      own.drop = (own.drop - way * size + repeat) % repeat;
      move({drop: inMm(own.drop)});
    } else {
      own.at = Math.max(own.at + way * size, 0);
      move({at: inMm(own.at), drags: true});
    }
    placeHandles();
  });
  const form = byId("start-form");
  form.addEventListener("change", (event) => {
    const {name, value} = event.target;
    delete state.drags;
    move({[name]: name === "wall" ? Number(value) : value, ...(name === "wall" ? {at: state.at, drags: true} : {})});
  });
  form.addEventListener("submit", (event) => event.preventDefault());
  part.querySelectorAll("[data-drop]").forEach((button) => button.addEventListener("click", () => move({drop: button.dataset.drop})));
  byId("keep-start").addEventListener("click", async () => {
    const answer = await ask("start/keep", state);
    if (answer) tell(answer, byId("keep-start"));
  });
  byId("back-start").addEventListener("click", () => load("start"));
  band = null;
  rest();
}

export function begin() {
  document.addEventListener("placed", (event) => { if (event.detail === "start") watch(partOf("start")); });
}
