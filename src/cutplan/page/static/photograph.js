// A photograph of the paper: two plumb lines and two level lines, moved over it by their ends.
import {load} from "./parts.js";
import {ask, say, tell} from "./talk.js";

const NAMES = {left: "Left edge", right: "Right edge", top: "Motif’s datum", bottom: "One repeat below"};
let ends = [], holder = null, image = null;

const form = () => document.getElementById("photograph-form");

export function begin() {
  document.addEventListener("change", (event) => { if (event.target.id === "picture" && event.target.files.length) send(event.target); });
  document.addEventListener("placed", (event) => { if (event.detail === "photograph" && form()) lay(); });
}

function lay() {
  holder = document.getElementById("lined");
  image = holder.querySelector("img");
  image.addEventListener("load", measure);
  form().elements.file.addEventListener("change", choose);
  document.getElementById("keep-lines").addEventListener("click", keep);
  choose();
}

// A picture that is sent is chosen at once; its lines are still to be moved.
async function send(field) {
  const fields = new FormData();
  fields.append("picture", field.files[0]);
  say("The picture is being sent …");
  const answer = await ask("picture", fields);
  if (!answer) return;
  tell(answer, field);
  if (answer.error) return;
  await load("photograph");
  form().elements.file.value = answer.file;
  choose();
}

function choose() {
  const file = form().elements.file.value;
  holder.hidden = !file;
  if (file) image.src = `photograph/${encodeURIComponent(file)}`;
}

// Where nothing is told yet the lines stand well within the picture.
function usual(name, width, height) {
  const across = {left: 0.2, right: 0.8}[name], down = {top: 0.2, bottom: 0.8}[name];
  return across ? [[across * width, 0.1 * height], [across * width, 0.9 * height]] : [[0.1 * width, down * height], [0.9 * width, down * height]];
}

function measure() {
  const {file} = form().elements, told = file.value === form().dataset.told ? JSON.parse(form().dataset.lines) : {};
  const {naturalWidth: width, naturalHeight: height} = image;
  holder.querySelector("svg").setAttribute("viewBox", `0 0 ${width} ${height}`);
  holder.querySelectorAll("button").forEach((each) => each.remove());
  ends = Object.keys(NAMES).flatMap((name) => (told[name] || usual(name, width, height)).map(([x, y], index) => {
    const end = {name, index, x: Number(x), y: Number(y), handle: document.createElement("button")};
    end.handle.type = "button";
    end.handle.className = "end";
    end.handle.dataset.end = `${name} ${index}`;
    end.handle.addEventListener("pointerdown", (event) => end.handle.setPointerCapture(event.pointerId));
    end.handle.addEventListener("pointermove", (event) => {
      if (!end.handle.hasPointerCapture(event.pointerId)) return;
      const box = image.getBoundingClientRect();
      move(end, (event.clientX - box.left) / box.width * width, (event.clientY - box.top) / box.height * height);
    });
    end.handle.addEventListener("keydown", (event) => {
      const step = {ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1]}[event.key];
      if (!step) return;
      event.preventDefault();
      move(end, end.x + step[0] * (event.shiftKey ? 10 : 1), end.y + step[1] * (event.shiftKey ? 10 : 1));
    });
    holder.append(end.handle);
    return end;
  }));
  for (const end of ends.filter(liesOnAnother)) slide(end);
  draw();
}

// A line is the same wherever on it its places are: one that hides another's is slid inwards.
function liesOnAnother(end) {
  const reach = 44 / image.getBoundingClientRect().width * image.naturalWidth;
  return ends.some((other) => other.name !== end.name && Math.hypot(other.x - end.x, other.y - end.y) < reach);
}

function slide(end) {
  const other = ends.find((each) => each.name === end.name && each !== end);
  Object.assign(end, {x: Math.round((end.x + (other.x - end.x) / 5) * 10) / 10, y: Math.round((end.y + (other.y - end.y) / 5) * 10) / 10});
}

function move(end, x, y) {
  const within = (value, most) => Math.round(Math.min(Math.max(value, 0), most) * 10) / 10;
  Object.assign(end, {x: within(x, image.naturalWidth), y: within(y, image.naturalHeight)});
  draw();
}

function draw() {
  const svg = holder.querySelector("svg"), far = 9;
  svg.replaceChildren(...Object.keys(NAMES).flatMap((name) => {
    const [one, other] = ends.filter((each) => each.name === name), right = other.x - one.x, down = other.y - one.y;
    return ["under", "over"].map((kind) => {
      const line = document.createElementNS("http://www.w3.org/2000/svg", "line");
      line.setAttribute("class", kind);
      for (const [key, value] of Object.entries({x1: one.x - far * right, y1: one.y - far * down, x2: other.x + far * right, y2: other.y + far * down})) line.setAttribute(key, value);
      return line;
    });
  }));
  for (const end of ends) {
    end.handle.style.left = `${end.x / image.naturalWidth * 100}%`;
    end.handle.style.top = `${end.y / image.naturalHeight * 100}%`;
    end.handle.setAttribute("aria-label", `${NAMES[end.name]}, ${end.index ? "second" : "first"} place: ${end.x} right, ${end.y} down`);
  }
}

async function keep() {
  const fields = {file: form().elements.file.value};
  for (const {name, x, y} of ends) fields[name] = `${fields[name] ? `${fields[name]}, ` : ""}${x} ${y}`;
  const answer = await ask("photograph", fields);
  if (answer) tell(answer, document.getElementById("keep-lines"));
}
