// Talking with the server: what is recorded is kept here until it is acknowledged, and sent again when nobody answered.
const box = `cutplan outbox ${document.documentElement.dataset.job}`;
const said = document.getElementById("said"), silence = document.getElementById("silence");
let sending = false, forgotten = 0;

const kept = () => {
  try { return JSON.parse(localStorage.getItem(box)) || []; } catch { return []; }
};
const keep = (list) => {
  try { localStorage.setItem(box, JSON.stringify(list)); } catch { /* nothing can be kept here */ }
};
const newId = () => [...crypto.getRandomValues(new Uint8Array(12))].map((byte) => byte.toString(16).padStart(2, "0")).join("");

export function say(text) {
  said.textContent = text;
  clearTimeout(forgotten);
  forgotten = setTimeout(() => { said.textContent = ""; }, 8000);
}

// What came of something that was asked for. Why it cannot be stands beside what was pressed, and stays there.
export function tell(answer, near) {
  document.querySelectorAll(".amiss").forEach((each) => each.remove());
  say(answer.error ? "" : answer.said || "");
  if (!answer.error) return;
  const told = document.createElement("p");
  told.className = "fault amiss";
  told.setAttribute("role", "alert");
  told.textContent = answer.error;
  if (near?.isConnected) near.after(told);
  else said.after(told);
}

export function answers(isThere, why) {
  const waiting = kept().length, wasThere = silence.hidden;
  silence.hidden = isThere;
  if (isThere && !wasThere) document.dispatchEvent(new CustomEvent("answered"));
  if (!isThere) {
    const rest = waiting ? ` ${waiting === 1 ? "What you ticked is" : `${waiting} things are`} kept here and sent again.` : "";
    silence.textContent = (why || "Nobody answers: is cutplan page still running?") + rest;
  }
}

const strangers = "This page's key is no longer good: open the address that cutplan page printed last.";

// Ask once; the answer's fields, or null where nobody answered. What cannot be is said where the page says things.
export async function ask(address, fields, signal) {
  let response, text;
  try {
    const isForm = fields instanceof FormData, body = isForm ? fields : fields && JSON.stringify(fields);
    response = await fetch(address, body ? {method: "POST", body, signal, headers: isForm ? {} : {"Content-Type": "application/json"}} : {signal});
    text = await response.text();
  } catch (error) {
    if (error.name !== "AbortError") answers(false);
    return null;
  }
  if (response.status === 404 || response.status === 403) {
    answers(false, strangers);
    return null;
  }
  answers(true);
  return response.headers.get("content-type").startsWith("application/json") ? JSON.parse(text) : {html: text};
}

// Record something: kept first, then sent, and forgotten once it is acknowledged. The answer; null where it is kept on.
export async function record(fields) {
  const id = newId();
  keep([...kept(), {...fields, id}]);
  return await sendKept(id);
}

export async function sendKept(awaited) {
  if (sending) return null;
  sending = true;
  let found = null;
  try {
    for (let first = kept()[0]; first; first = kept()[0]) {
      const answer = await ask("record", first);
      if (answer === null) {
        answers(false, silence.textContent.startsWith("This page") ? strangers : "");
        return null;
      }
      keep(kept().filter((each) => each.id !== first.id));
      if (first.id === awaited) found = answer;
      else tell(answer);
    }
  } finally {
    sending = false;
  }
  return found;
}

// What changes whenever one of the job's files does, told at once.
export function listen(changed) {
  let last = [];
  const news = new EventSource("news");
  news.onmessage = (event) => {
    const marks = JSON.parse(event.data);
    answers(true);
    sendKept();
    if (last.length) marks.forEach((mark, index) => mark !== last[index] && changed(index));
    last = marks;
  };
  news.onerror = () => {
    answers(false);
    if (news.readyState === EventSource.CLOSED) setTimeout(() => { news.close(); listen(changed); }, 1000);
  };
}
