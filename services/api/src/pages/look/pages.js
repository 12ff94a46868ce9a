// Sends what a person enters to the service. An entry that cannot be sent (no connection) is kept in this browser under
// its own key and sent again until it is answered, so that it counts once, however often it was sent.

const KEPT = "mouldboard-kept";
const REFUSED = "mouldboard-refused-entries";
const SIGNED_IN = "mouldboard-signed-in";
const AGAIN_EVERY_MS = 10000;

const store = {
  read: (name, other) => { try { return JSON.parse(localStorage.getItem(name)) ?? other; } catch { return other; } },
  write: (name, value) => { try { localStorage.setItem(name, JSON.stringify(value)); return true; } catch { return false; } },
};

// Whose entries are sent from this browser: of the page that was shown last, in whichever tab.
if (document.body.dataset.day) store.write(SIGNED_IN, document.body.dataset.by || "");
const signedIn = () => store.read(SIGNED_IN, "");
const kept = () => store.read(KEPT, []);
const own = () => kept().filter((entry) => (entry.by || "") === signedIn());

function newKey() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

// --- which day it is ----------------------------------------------------------------------------------------------------

// The workshop's day when an entry is made: the day of the page, and those that have begun on its clock since it was loaded.
// An entry is of that day, however late it is sent.
function localDay(moment) {
  const zone = document.body.dataset.zone || "UTC";
  const parts = Object.fromEntries(new Intl.DateTimeFormat("en-GB", { timeZone: zone, year: "numeric", month: "2-digit", day: "2-digit" }).formatToParts(moment).map((part) => [part.type, part.value]));
  return Date.parse(`${parts.year}-${parts.month}-${parts.day}T00:00:00Z`);
}
const loaded = new Date();
function dayNow() {
  const page = document.body.dataset.day;
  if (!page) return undefined;
  return new Date(Date.parse(`${page}T00:00:00Z`) + localDay(new Date()) - localDay(loaded)).toISOString().slice(0, 10);
}

// --- what a form says ---------------------------------------------------------------------------------------------------

// A field as the contract has it; nothing where nothing is said.
function valueOf(field, form) {
  switch (field.dataset.kind) {
    case "number": {
      const typed = Number(field.value.trim().replace(",", ".")) * Number(field.dataset.factor || 1) + Number(field.dataset.offset || 0);
      return "whole" in field.dataset ? Math.round(typed) : typed;
    }
    case "numbers": return field.value.split(" ").filter(Boolean).map(Number);
    case "boolean": return field.value === "true";
    case "revision": return `${form.elements.of.value}@${field.value}`;
    default: return field.value;
  }
}

// Puts a value where a name says: "policy.seconds" is a member of a member, "panels.0.panel" one of a list.
function put(body, name, value) {
  const steps = name.split(".");
  let place = body;
  for (const [at, step] of steps.slice(0, -1).entries()) {
    place[step] ??= /^\d+$/.test(steps[at + 1]) ? [] : {};
    place = place[step];
  }
  place[steps.at(-1)] = value;
}

// Lists without the rows that were left empty.
function closed(value) {
  if (Array.isArray(value)) return value.filter((one) => one !== undefined).map(closed);
  if (value && typeof value === "object") return Object.fromEntries(Object.entries(value).map(([name, one]) => [name, closed(one)]));
  return value;
}

function bodyOf(form) {
  const body = {};
  const lines = [];
  const path = form.dataset.send || "";
  for (const field of form.elements) {
    if (!field.name || path.includes(`{${field.name}}`)) continue;
    if (field.dataset.kind === "listed") {
      body[field.name] ??= [];
      if (field.checked) body[field.name].push(field.value);
    } else if (field.value === "" || (field.type === "checkbox" && !field.checked)) {
      continue;
    } else if (field.dataset.line) {
      if (field.value !== field.dataset.written) lines.push({ position: Number(field.dataset.line), actual: valueOf(field, form) });
    } else if (field.name !== "quantity" || !form.dataset.moves) {
      put(body, field.name, valueOf(field, form));
    }
  }
  if (lines.length) body.lines = lines;
  if (form.dataset.dated && !body[form.dataset.dated]) body[form.dataset.dated] = dayNow();
  const wanted = orderLinesOf(form);
  if (wanted.length) body.lines = wanted;
  return closed(body);
}

// The path of a form, with what its fields say in it.
function pathOf(form) {
  return form.dataset.send.replace(/\{(\w+)\}/g, (_, name) => encodeURIComponent(form.elements[name].value));
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

// What went of an order: all that is left of it, or the panels that the fields name.
function sendsOf(form) {
  const fields = [...form.querySelectorAll("[data-panel]")];
  const named = fields.map(({ dataset, value }) => ({ panel: dataset.panel, finish: dataset.finish, quantity: Number(value) }));
  const whole = fields.every(({ dataset, value }) => value === dataset.left);
  const body = { day: dayNow(), ...(whole ? {} : { panels: named.filter((one) => one.quantity > 0) }) };
  return [{ path: `/orders/${form.dataset.sends}/dispatch`, method: "POST", body }];
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
    const body = { to: form.dataset.to, quantity, day: dayNow() };
    if (form.dataset.tank) body.tank = form.dataset.tank;
    if (form.dataset.rack) body.rack = form.dataset.rack;
    entries.push({ path: `/lots/${id}/moves`, method: "POST", body });
  }
  return entries;
}

// What a person typed and chose in a form, in the page's own words and units: "Wet density measured, kg/m³: 961".
function typedWords(form) {
  const label = (field) => [...(field.labels?.[0]?.childNodes || [])].filter((node) => node !== field && !node.contains(field) && !node.matches?.("[data-day-said]")).map((node) => node.textContent.trim()).filter(Boolean).join(" ");
  const value = (field) => (field.tagName === "SELECT" ? field.selectedOptions[0]?.textContent : field.type === "date" ? asWritten(field.value) : field.value);
  const says = (field) => !["hidden", "submit", "file"].includes(field.type) && field.value && (field.type !== "checkbox" || field.checked) && field.dataset.written !== field.value && label(field);
  return [...form.elements].filter(says).map((field) => (field.type === "checkbox" ? label(field) : `${label(field)}: ${value(field)}`)).join("; ");
}

function entriesOf(form) {
  const entries = form.dataset.sends ? sendsOf(form) : form.dataset.moves ? movesOf(form) : [{ path: pathOf(form), method: form.dataset.method || "POST", match: form.dataset.match, body: form.dataset.method === "DELETE" || "empty" in form.dataset ? null : bodyOf(form) }];
  return entries.map((entry) => ({ ...entry, key: newKey(), named: form.dataset.named, typed: typedWords(form), by: signedIn() }));
}

// --- sending ------------------------------------------------------------------------------------------------------------

// Answers worth trying again: the service, its database or the sign-in is away, and nothing is wrong with the entry.
const AWAY = [401, 429, 502, 503, 504, 507];
// How often an entry is sent again that the service fails at (500) before a person has to look at it.
const FAILURES = 5;

// What came of an entry: { sent }, { problem }, or { away } with the status where there was an answer.
async function send(entry) {
  const headers = { Accept: "application/json, application/problem+json" };
  if (entry.body !== null) headers["Content-Type"] = "application/json";
  if (entry.method === "POST") headers["Idempotency-Key"] = entry.key; else headers["If-Match"] = entry.match || "*";
  let answer;
  try {
    answer = await fetch(entry.path, { method: entry.method, headers, body: entry.body === null ? undefined : JSON.stringify(entry.body) });
  } catch {
    return { away: true };
  }
  // What is to be removed and is not there was removed by this entry before, and the answer was lost.
  if (answer.ok || (entry.method === "DELETE" && answer.status === 404)) return { sent: true };
  if (AWAY.includes(answer.status) || (answer.status === 500 && (entry.failed || 0) < FAILURES)) return { away: true, status: answer.status };
  if (answer.status === 412 && (await isSo(answer.clone(), entry.body))) return { sent: true };
  return refusalOf(answer);
}

// Whether what there is now says all that an entry says: then it was done, and only the answer was lost.
async function isSo(answer, body) {
  const { current } = await answer.json().catch(() => ({}));
  const holds = (there, wanted) => {
    if (!wanted || typeof wanted !== "object") return there === wanted;
    if (!there || typeof there !== "object" || (Array.isArray(wanted) && wanted.length !== there.length)) return false;
    return Object.entries(wanted).every(([name, one]) => holds(there[name], one));
  };
  return Boolean(current && body) && holds(current, body);
}

// Why an answer is a no: in one text, and where in the body.
async function refusalOf(answer) {
  const problem = await answer.json().catch(() => ({}));
  const faults = problem.errors || [];
  return { status: answer.status, problem: faults.length ? faults.map((fault) => fault.detail).join("; ") : problem.detail || `${answer.status}`, faults };
}

let sending = Promise.resolve();
// Sends all that is kept of whoever is signed in, in its order, one after the other. What is refused is taken out; it is shown at the top unless
// it is one of `mine`, whose form shows it. Gives what came of each.
function sendKept(mine) {
  const work = sending.then(async () => {
    const came = new Map();
    for (;;) {
      const [entry] = own();
      if (!entry) break;
      const what = await send(entry);
      came.set(entry.key, what);
      if (what.status === 500) store.write(KEPT, store.read(KEPT, []).map((one) => (one.key === entry.key ? { ...one, failed: (one.failed || 0) + 1 } : one)));
      if (what.away) break;
      if (what.problem && !mine.includes(entry.key)) refuse({ ...entry, why: what.problem, unsure: what.status === 500 });
      forget([entry.key]);
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

// An entry that was refused when nobody stood before its form stays whole, until a person sends it again or throws it away.
function refuse(entry) {
  store.write(REFUSED, [...store.read(REFUSED, []), entry]);
}

function unrefuse(entry) {
  store.write(REFUSED, store.read(REFUSED, []).filter((one) => one.key !== entry.key));
}

// What an entry without fields to type in says, in a line: its members by their names.
function told(value) {
  if (Array.isArray(value)) return value.map(told).join("; ");
  if (value && typeof value === "object") return Object.entries(value).map(([name, one]) => `${name.replaceAll("_", " ")}: ${told(one)}`).join(", ");
  return String(value);
}

function button(text, done) {
  const one = document.createElement("button");
  one.type = "button";
  one.className = "slight";
  one.textContent = text;
  one.addEventListener("click", done);
  return one;
}

// What is kept of other people than the one signed in: a person decides whether it goes under this one's name.
function ofOthers() {
  const others = kept().filter((entry) => (entry.by || "") !== signedIn());
  return [...new Set(others.map((entry) => entry.by || ""))].map((who) => {
    const theirs = (entry) => (entry.by || "") === who;
    const line = document.createElement("p");
    const mine = () => { store.write(KEPT, kept().map((entry) => (theirs(entry) ? { ...entry, by: signedIn() } : entry))); show(); again(); };
    const away = () => { store.write(KEPT, kept().filter((entry) => !theirs(entry))); show(); };
    line.append(words.ofAnother(others.filter(theirs).length, who), " ", button(words.underMine(signedIn()), mine), " ", button(words.throwAway, away));
    return line;
  });
}

// The strip on top: how many entries wait, and which were refused until somebody has seen it.
function show() {
  const place = document.getElementById("kept");
  if (!place) return;
  const waiting = own().length;
  const refused = store.read(REFUSED, []);
  const lines = refused.map((entry) => {
    const line = document.createElement("p");
    // Where the service broke off it may have been done for all that: under its own key it counts once.
    const anew = () => {
      if (!store.write(KEPT, [...store.read(KEPT, []), { ...entry, why: undefined, unsure: undefined, failed: 0, by: signedIn(), key: entry.unsure ? entry.key : newKey() }])) return;
      unrefuse(entry);
      show();
      again();
    };
    const away = () => { unrefuse(entry); show(); };
    line.append(words.refused(entry.named, entry.why), " ", entry.typed || entry.body ? words.entered(entry.typed || told(entry.body)) : "", " ", button(words.again, anew), " ", button(words.throwAway, away));
    return line;
  });
  if (waiting) {
    const line = document.createElement("p");
    line.textContent = words.waiting(waiting);
    lines.unshift(line);
  }
  lines.push(...ofOthers());
  place.replaceChildren(...lines);
  place.hidden = !lines.length;
}

// Marks the fields that the faults are about, and puts the first of them under the hand.
function mark(form, faults) {
  const wrong = (faults || []).map((fault) => fault.pointer.slice(1).replaceAll("/", "."));
  const fields = [...form.elements].filter((field) => field.name);
  for (const field of fields) field.toggleAttribute("aria-invalid", false);
  const first = fields.filter((field) => wrong.includes(field.name)).map((field) => { field.setAttribute("aria-invalid", "true"); return field; })[0];
  if (first) first.focus();
}

async function submitted(form) {
  const output = form.querySelector("output");
  const button = form.querySelector("button:not([type=button])");
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
    mark(form, refused.faults);
    button.disabled = false;
  } else if (waits) {
    say([...came.values()].some((what) => what.status === 401) ? words.signIn : words.kept, false);
  } else {
    say(words.done, false);
    if (form.dataset.then === "stay") return;
    if ((form.dataset.then || "").startsWith("/")) location.assign(form.dataset.then); else reload(form);
  }
}

// What is shown once is asked for once: nothing of it is kept on this device, and a lost answer is asked for anew by hand.
async function askedOnce(form) {
  const output = form.querySelector("output");
  const button = form.querySelector("button");
  button.disabled = true;
  let answer;
  try {
    const headers = { "Content-Type": "application/json", Accept: "application/json, application/problem+json" };
    answer = await fetch(form.dataset.once, { method: "POST", headers, body: JSON.stringify(bodyOf(form)) });
  } catch {
    output.className = "warn";
    output.textContent = words.noAnswer;
    button.disabled = false;
    return;
  }
  if (!answer.ok) {
    const refused = await refusalOf(answer);
    output.className = "warn";
    output.textContent = refused.problem;
    mark(form, refused.faults);
    button.disabled = false;
    return;
  }
  const made = await answer.json();
  const shown = form.dataset.shows === "token" ? [made.token] : addressesOf(form, made);
  output.className = "once";
  output.replaceChildren(words.shownOnce, ...shown.map((text) => { const code = document.createElement("code"); code.textContent = text; return code; }));
}

// A file is checked as soon as it is chosen and taken by the button; a file is too large to be kept on this device.
async function fileSent(form, check) {
  const [file] = form.elements.file.files;
  const place = form.querySelector("[data-report]");
  const button = form.querySelector("button");
  if (!file) return;
  const book = /\.xlsx$/i.test(file.name);
  const query = new URLSearchParams(check ? { check: "1" } : {});
  for (const field of form.elements) if (field.dataset.query !== undefined && field.value) query.set(field.name, field.value);
  const headers = { Accept: "application/json, application/problem+json", "Content-Type": book ? "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet" : "text/csv" };
  if (!check) headers["Idempotency-Key"] = form.dataset.key ??= newKey();
  button.disabled = true;
  let found;
  try {
    const answer = await fetch(`${form.dataset.file}?${query}`, { method: "POST", headers, body: file });
    found = await answer.json();
    if (!answer.ok && !found.faults) found = { refused: found.detail, faults: (found.errors || []).map((fault) => ({ detail: fault.detail })) };
  } catch {
    found = { refused: words.noAnswer, faults: [] };
  }
  const line = (text, warn) => { const one = document.createElement("p"); one.textContent = text; if (warn) one.className = "warn"; return one; };
  const where = (fault) => [fault.line && words.line(fault.line), fault.column, fault.value && `“${fault.value}”`].filter(Boolean).join(", ");
  const list = (faults) => { const all = document.createElement("ul"); all.append(...faults.map((fault) => { const one = document.createElement("li"); one.textContent = [where(fault), fault.detail].filter(Boolean).join(": "); return one; })); return all; };
  const said = found.refused ? [line(found.refused, true), list(found.faults)] : [line(words.imported(found, check), found.faults.length > 0), list(found.faults), list(found.warnings || [])];
  place.replaceChildren(...said);
  button.disabled = Boolean(found.refused || found.faults.length) || !check;
  if (!check && !found.refused && !found.faults.length && form.dataset.then) location.assign(form.dataset.then);
}

document.addEventListener("change", (event) => {
  const form = event.target.closest("form[data-file]");
  if (!form) return;
  delete form.dataset.key;
  fileSent(form, true);
});

// The whole address of each feed that was ticked, in each of its formats.
function addressesOf(form, made) {
  const ticked = [...form.elements].filter((field) => field.dataset.formats && field.checked);
  const address = (field, format) => `${location.origin}${field.value.replace("{day}", "today")}.${format}${made.append}`;
  return ticked.flatMap((field) => field.dataset.formats.split(" ").map((format) => address(field, format)));
}

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (form.matches("[data-file]")) {
    event.preventDefault();
    fileSent(form, false);
    return;
  }
  if (form.matches("[data-once]")) {
    event.preventDefault();
    askedOnce(form);
    return;
  }
  if (!form.matches("[data-send], [data-moves], [data-sends]")) return;
  event.preventDefault();
  submitted(form);
});

// --- when a new order could be ready, while it is typed ---------------------------------------------------------------------

// A number written with a point, with the workshop's own sign.
function decimal(text) {
  return document.body.dataset.decimals === "comma" ? text.replace(".", ",") : text;
}

// A text with its days as the pages say them ("Wed 18 March" for 2026-03-18), and its decimals.
function asWritten(text) {
  const [form, locale] = { month_first: [{ weekday: "short", day: "numeric", month: "long" }, "en-US"], year_first: [{ weekday: "short" }, "en-GB"] }[document.body.dataset.dates] ?? [{ weekday: "short", day: "numeric", month: "long" }, "en-GB"];
  const said = (day) => {
    const date = new Date(`${day}T00:00:00Z`);
    if (Number.isNaN(date.getTime())) return day;
    const text = date.toLocaleDateString(locale, { ...form, timeZone: "UTC" });
    return document.body.dataset.dates === "year_first" ? `${text} ${day}` : locale === "en-GB" ? text.replace(",", "") : text;
  };
  return text.replace(/\b\d{4}-\d{2}-\d{2}\b/g, said).replace(/\d\.\d+/g, decimal);
}

// A browser shows the day in a field its own way: beside it stands how this workshop writes it.
function sayDay(field) {
  let beside = field.nextElementSibling;
  if (!beside?.matches("[data-day-said]")) {
    beside = document.createElement("span");
    beside.className = "quiet";
    beside.dataset.daySaid = "";
    field.after(beside);
  }
  beside.textContent = field.value ? asWritten(field.value) : "";
}
for (const field of document.querySelectorAll("input[type=date]")) sayDay(field);
document.addEventListener("input", (event) => { if (event.target.matches("input[type=date]")) sayDay(event.target); });

let asked = 0;
async function quote(form) {
  const place = form.querySelector("[data-quote]");
  const lines = orderLinesOf(form);
  if (!lines.length || lines.some((line) => !line.finish)) return;
  const mine = ++asked;
  let text;
  let ready;
  try {
    const headers = { "Content-Type": "application/json", Accept: "application/json, application/problem+json" };
    const answer = await fetch(form.dataset.quotes, { method: "POST", headers, body: JSON.stringify({ lines, priority: form.elements.priority.value }) });
    const found = await answer.json();
    ready = answer.ok && found.ready_on;
    text = answer.ok ? found.sentences : (found.errors || []).map((fault) => fault.detail).concat(found.errors && found.errors.length ? [] : [found.detail]);
  } catch {
    text = [words.noQuote];
  }
  if (mine !== asked) return;
  place.replaceChildren(...text.map((one) => { const line = document.createElement("p"); line.textContent = asWritten(one); return line; }));
  if (ready) place.append(button(words.promise(asWritten(ready)), () => { form.elements.promised_on.value = ready; sayDay(form.elements.promised_on); }));
}

let quoteTimer;
// What is chosen is said by the one in some browsers, by the other in others.
for (const kind of ["input", "change"]) {
  document.addEventListener(kind, (event) => {
    const form = event.target.closest("form[data-quotes]");
    if (!form) return;
    for (const line of form.querySelectorAll("[data-order-line]")) line.querySelector("[data-part=finish]").required = Boolean(line.querySelector("[data-part=item]").value);
    clearTimeout(quoteTimer);
    quoteTimer = setTimeout(() => quote(form), 400);
  });
}

// --- limits moved on a slider -----------------------------------------------------------------------------------------------

let asking;
async function look(form) {
  asking?.abort();
  asking = new AbortController();
  const query = new URLSearchParams(new FormData(form));
  try {
    const answer = await fetch(`${form.getAttribute("action")}?${query}`, { headers: { Accept: "text/html" }, signal: asking.signal });
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    const found = page.getElementById(form.dataset.live) || page.querySelector("main");
    document.getElementById(form.dataset.live).replaceChildren(...found.childNodes);
  } catch { /* moved on, or away: the button asks again */ }
}

let lookTimer;
document.addEventListener("input", (event) => {
  const form = event.target.closest("form[data-live]");
  if (!form || event.target.type !== "range") return;
  const beside = form.querySelector(`output[for=${event.target.id}]`);
  if (beside) beside.textContent = decimal(event.target.value);
  clearTimeout(lookTimer);
  lookTimer = setTimeout(() => look(form), 250);
});

// --- ticks, names, runs under way -----------------------------------------------------------------------------------------

// Ticks of tickets that are closed, or of days long gone, are of no use to anybody.
const TICKS_KEPT_DAYS = 14;
function clearTicks() {
  const closed = [...document.querySelectorAll(".ticket.done")].map((ticket) => ticket.id.slice("t-".length));
  const oldest = Date.parse(`${document.body.dataset.day}T00:00:00Z`) - TICKS_KEPT_DAYS * 86400000;
  for (const name of Object.keys(localStorage)) {
    const [, number, day] = name.match(/^tick ((\d{4}-\d{2}-\d{2})-[^/]+)\//) ?? [];
    if (number && (closed.includes(number) || Date.parse(`${day}T00:00:00Z`) < oldest)) localStorage.removeItem(name);
  }
}
try { clearTicks(); } catch { /* nothing is kept in this browser */ }

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
    if (answer.status === 401) { place.textContent = words.signIn; return undefined; }
    if (!answer.ok) throw new Error(`${answer.status}`);
    if (run.state === "planned" || run.state === "failed") return location.reload();
    const text = words.planning(run);
    if (place.textContent !== text) place.textContent = text;
    // Read out where something happened, not with every second.
    const news = [run.state, run.best?.order_days_late, Boolean(run.stop_asked_at)].join();
    const heard = document.querySelector("[data-heard]");
    if (heard && heard.dataset.heard !== news) { heard.dataset.heard = news; heard.textContent = text; }
  } catch { /* asked again below */ }
  setTimeout(() => watch(place), 1500);
}
for (const place of document.querySelectorAll("[data-watch]")) watch(place);

// --- what is typed and not sent yet stays when the page is shown anew -----------------------------------------------------------

const TYPED = "mouldboard-typed";
const shownFirst = (field) => (field.tagName === "SELECT" ? [...field.options].find((option) => option.defaultSelected)?.value ?? field.options[0]?.value : field.defaultValue);
const whose = (form) => form.dataset.send || form.dataset.moves || form.dataset.sends;

// The fields of forms that say something else than the page was sent with, but for those of one form.
function typedIn(but) {
  const found = [];
  for (const form of document.querySelectorAll("form.entry")) {
    if (form === but || !whose(form)) continue;
    for (const [at, field] of [...form.elements].entries()) {
      const may = field.name && !["hidden", "checkbox", "file"].includes(field.type) && field.dataset.remember === undefined;
      if (may && field.value !== (shownFirst(field) ?? "")) found.push({ form: whose(form), at, name: field.name, value: field.value });
    }
  }
  return found;
}

function reload(but) {
  try { sessionStorage.setItem(TYPED, JSON.stringify({ path: location.pathname, fields: typedIn(but) })); } catch { /* shown anew without it */ }
  location.reload();
}

function putBack() {
  let kept;
  try {
    kept = JSON.parse(sessionStorage.getItem(TYPED));
    sessionStorage.removeItem(TYPED);
  } catch { return; }
  if (!kept || kept.path !== location.pathname) return;
  for (const { form, at, name, value } of kept.fields) {
    const found = [...document.querySelectorAll("form.entry")].find((one) => whose(one) === form);
    const field = found?.elements[at];
    if (!field || field.name !== name) continue;
    field.value = value;
    if (field.type === "date") sayDay(field);
    for (let fold = field.closest("details"); fold; fold = fold.parentElement.closest("details")) fold.open = true;
  }
}
putBack();

async function again() {
  if (!own().length) return;
  await sendKept([]);
  // Whoever is typing is not interrupted; the page shows what was sent when it is next loaded.
  const typing = document.activeElement && document.activeElement.matches("input, select");
  if (!own().length && !typing && !typedIn().length) location.reload();
}
window.addEventListener("online", again);
setInterval(again, AGAIN_EVERY_MS);
show();
again();
