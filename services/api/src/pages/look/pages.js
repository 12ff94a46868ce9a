"use strict";
// Sends what a person enters to the service. An entry that cannot be sent (no connection) is kept in this browser under
// its own key and sent again until it is answered, so that it counts once, however often it was sent.

const KEPT = "mouldboard-kept";
const REFUSED = "mouldboard-refused";
const AGAIN_EVERY_MS = 10000;

const words = {
  waiting: (n) => (n === 1 ? "1 entry is kept on this device and sent as soon as the service answers." : `${n} entries are kept on this device and sent as soon as the service answers.`),
  refused: (what, why) => `${what} was not taken: ${why}`,
  dismiss: "I have seen it",
  kept: "Kept on this device; it will be sent.",
  done: "Done.",
  noQuote: "When it could be ready cannot be asked just now; the order can be taken all the same.",
  noRoom: "This browser lets nothing be kept (private window, or full), so nothing was sent: allow it, and try again.",
  signIn: "Sign in again, then it is sent.",
  planning: (run) => (run.state === "waiting" ? "Planning: the run waits for the worker." : "Planning: a new plan is being made."),
};

const store = {
  read: (name, other) => { try { return JSON.parse(localStorage.getItem(name)) ?? other; } catch { return other; } },
  write: (name, value) => { try { localStorage.setItem(name, JSON.stringify(value)); return true; } catch { return false; } },
};

function newKey() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

// --- what a form says ---------------------------------------------------------------------------------------------------

function valueOf(field) {
  if (field.dataset.kind !== "number") return field.value;
  const typed = Number(field.value);
  return field.dataset.factor ? typed * Number(field.dataset.factor) : typed;
}

function bodyOf(form) {
  const body = {};
  const lines = [];
  for (const field of form.elements) {
    if (!field.name || field.value === "") continue;
    if (field.dataset.line) {
      if (field.value !== field.dataset.written) lines.push({ position: Number(field.dataset.line), actual: Number(field.value) });
    } else if (field.name !== "quantity" || !form.dataset.moves) {
      body[field.name] = valueOf(field);
    }
  }
  if (lines.length) body.lines = lines;
  const wanted = orderLinesOf(form);
  if (wanted.length) body.lines = wanted;
  return body;
}

// The lines of an order that say what is wanted: a set or a panel, its finish, how many.
function orderLinesOf(form) {
  const lines = [];
  for (const line of form.querySelectorAll("[data-order-line]")) {
    const part = (name) => line.querySelector(`[data-part=${name}]`).value;
    const [kind, id] = part("item").split(":");
    if (id && part("quantity")) lines.push({ [kind]: id, finish: part("finish"), quantity: Number(part("quantity")) });
  }
  return lines;
}

// One entry for each lot that panels are taken from, the oldest first.
function movesOf(form) {
  let left = Number(form.elements.quantity.value);
  const entries = [];
  for (const lot of form.dataset.moves.split(" ")) {
    const [id, has] = lot.split(":").map(Number);
    const quantity = Math.min(left, has);
    if (quantity <= 0) continue;
    left -= quantity;
    const body = { to: form.dataset.to, quantity };
    if (form.dataset.tank) body.tank = form.dataset.tank;
    if (form.dataset.rack) body.rack = form.dataset.rack;
    entries.push({ path: `/lots/${id}/moves`, method: "POST", body });
  }
  return entries;
}

function entriesOf(form) {
  const entries = form.dataset.moves ? movesOf(form) : [{ path: form.dataset.send, method: form.dataset.method || "POST", body: form.dataset.method === "DELETE" ? null : bodyOf(form) }];
  return entries.map((entry) => ({ ...entry, key: newKey(), named: form.dataset.named }));
}

// --- sending ------------------------------------------------------------------------------------------------------------

// Answers worth trying again: the service, its database or the sign-in is away, and nothing is wrong with the entry.
const AWAY = [401, 429, 502, 503, 504, 507];

// What came of an entry: { sent }, { problem }, or { away } with the status where there was an answer.
async function send(entry) {
  const headers = { Accept: "application/json, application/problem+json" };
  if (entry.body !== null) headers["Content-Type"] = "application/json";
  if (entry.method === "POST") headers["Idempotency-Key"] = entry.key; else headers["If-Match"] = "*";
  let answer;
  try {
    answer = await fetch(entry.path, { method: entry.method, headers, body: entry.body === null ? undefined : JSON.stringify(entry.body) });
  } catch {
    return { away: true };
  }
  // What is to be removed and is not there was removed by this entry before, and the answer was lost.
  if (answer.ok || (entry.method === "DELETE" && answer.status === 404)) return { sent: true };
  if (AWAY.includes(answer.status)) return { away: true, status: answer.status };
  const problem = await answer.json().catch(() => ({}));
  const faults = (problem.errors || []).map((fault) => fault.detail);
  return { problem: faults.length ? faults.join("; ") : problem.detail || `${answer.status}` };
}

let sending = Promise.resolve();
// Sends all that is kept, in its order, one after the other. What is refused is taken out; it is shown at the top unless
// it is one of `mine`, whose form shows it. Gives what came of each.
function sendKept(mine) {
  const work = sending.then(async () => {
    const came = new Map();
    for (;;) {
      const [entry] = store.read(KEPT, []);
      if (!entry) break;
      const what = await send(entry);
      came.set(entry.key, what);
      if (what.away) break;
      forget([entry.key]);
      if (what.problem && !mine.includes(entry.key)) refuse(words.refused(entry.named, what.problem));
    }
    show();
    return came;
  });
  sending = work.catch(() => {});
  return work;
}

function forget(keys) {
  store.write(KEPT, store.read(KEPT, []).filter((entry) => !keys.includes(entry.key)));
}

function refuse(text) {
  store.write(REFUSED, [...store.read(REFUSED, []), text]);
}

// The strip on top: how many entries wait, and which were refused until somebody has seen it.
function show() {
  const place = document.getElementById("kept");
  if (!place) return;
  const waiting = store.read(KEPT, []).length;
  const refused = store.read(REFUSED, []);
  const lines = refused.map((text) => {
    const line = document.createElement("p");
    const seen = document.createElement("button");
    seen.className = "slight";
    seen.textContent = words.dismiss;
    seen.addEventListener("click", () => { store.write(REFUSED, store.read(REFUSED, []).filter((one) => one !== text)); show(); });
    line.append(text, " ", seen);
    return line;
  });
  if (waiting) {
    const line = document.createElement("p");
    line.textContent = words.waiting(waiting);
    lines.unshift(line);
  }
  place.replaceChildren(...lines);
  place.hidden = !lines.length;
}

async function submitted(form) {
  const output = form.querySelector("output");
  const button = form.querySelector("button");
  const say = (text, warn) => { output.className = warn ? "warn" : ""; output.textContent = text; };
  const entries = entriesOf(form);
  const keys = entries.map((entry) => entry.key);
  for (const field of form.querySelectorAll("[data-remember]")) store.write(field.dataset.remember, field.value);
  button.disabled = true;
  if (!store.write(KEPT, [...store.read(KEPT, []), ...entries])) {
    say(words.noRoom, true);
    button.disabled = false;
    return;
  }
  const came = await sendKept(keys);
  const refused = keys.map((key) => came.get(key)).find((what) => what && what.problem);
  const waits = store.read(KEPT, []).some((entry) => keys.includes(entry.key));
  if (refused) {
    forget(keys);
    show();
    say(refused.problem, true);
    button.disabled = false;
  } else if (waits) {
    say([...came.values()].some((what) => what.status === 401) ? words.signIn : words.kept, false);
  } else {
    say(words.done, false);
    if ((form.dataset.then || "").startsWith("/")) location.assign(form.dataset.then); else location.reload();
  }
}

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!form.matches("[data-send], [data-moves]")) return;
  event.preventDefault();
  submitted(form);
});

// --- when a new order could be ready, while it is typed ---------------------------------------------------------------------

let asked = 0;
async function quote(form) {
  const place = form.querySelector("[data-quote]");
  const lines = orderLinesOf(form);
  if (!lines.length) return;
  const mine = ++asked;
  let text;
  try {
    const headers = { "Content-Type": "application/json", Accept: "application/json, application/problem+json" };
    const answer = await fetch(form.dataset.quotes, { method: "POST", headers, body: JSON.stringify({ lines, priority: form.elements.priority.value }) });
    const found = await answer.json();
    text = answer.ok ? found.sentences : (found.errors || []).map((fault) => fault.detail).concat(found.errors && found.errors.length ? [] : [found.detail]);
  } catch {
    text = [words.noQuote];
  }
  if (mine !== asked) return;
  place.replaceChildren(...text.map((one) => { const line = document.createElement("p"); line.textContent = one; return line; }));
}

let quoteTimer;
document.addEventListener("input", (event) => {
  const form = event.target.closest("form[data-quotes]");
  if (!form) return;
  clearTimeout(quoteTimer);
  quoteTimer = setTimeout(() => quote(form), 400);
});

// --- ticks, names, runs under way -----------------------------------------------------------------------------------------

for (const box of document.querySelectorAll("[data-tick]")) {
  const name = `tick ${box.dataset.tick}`;
  box.checked = store.read(name, false);
  box.addEventListener("change", () => (box.checked ? store.write(name, true) : localStorage.removeItem(name)));
}
for (const field of document.querySelectorAll("[data-remember]")) field.value = store.read(field.dataset.remember, "");

async function watch(place) {
  try {
    const answer = await fetch(place.dataset.watch, { headers: { Accept: "application/json" } });
    const run = await answer.json();
    if (run.state === "planned" || run.state === "failed") return location.reload();
    place.textContent = words.planning(run);
  } catch { /* asked again below */ }
  setTimeout(() => watch(place), 1500);
}
for (const place of document.querySelectorAll("[data-watch]")) watch(place);

async function again() {
  if (!store.read(KEPT, []).length) return;
  await sendKept([]);
  // Whoever is typing is not interrupted; the page shows what was sent when it is next loaded.
  const typing = document.activeElement && document.activeElement.matches("input, select");
  if (!store.read(KEPT, []).length && !typing) location.reload();
}
window.addEventListener("online", again);
setInterval(again, AGAIN_EVERY_MS);
show();
again();
