// The page: what is changed goes to the server, and the day that comes back is shown.

import { download, find, h, replace, tell } from "./dom.js";
import { Trouble, ask, askJson, get } from "./server.js";
import { State } from "./state.js";
import { Overlay, shownBy } from "./overlay.js";
import { Moment } from "./moment.js";
import { Settings } from "./settings.js";
import { figures } from "./figures.js";
import { ledger, showRow } from "./ledger.js";
import { zones } from "./zones.js";
import { requirements } from "./requirements.js";
import { Lessons } from "./lessons.js";
import { FindTheFault } from "./fault.js";
import { clock, figure } from "./words.js";

const state = new State(changed);
const chart = new Overlay(find("#chart"), { onTime: setTime, onMark: (row) => select(row, true), onWidth: changed });
const moment = new Moment(find("#moment"), {
  onTime: setTime,
  onPress: press,
  onRemove: (place) => state.removePress(place),
});
const zoneSettings = new Settings(find("#settings"), state);
const groupSettings = new Settings(find("#group-settings"), state);

const lessons = new Lessons(find("#lessons-view"));
const puzzle = new FindTheFault(find("#fault-view"));

let day = null;          // what the server answered last
let selected = null;     // the ledger row that is chosen
let busy = false;
let again = false;
let warning = null;      // about the address

/** The zone that is looked at, as a place in the day. */
function zone() {
  const place = day.zones.findIndex((it) => it.id === state.look.zone);
  return place < 0 ? 0 : place;
}

/** Asks for the day until nothing has changed meanwhile. */
async function changed() {
  showButtons();
  again = true;
  if (busy) return;
  busy = true;
  const slow = setTimeout(() => working(true), 500);
  try {
    while (again) {
      again = false;
      await refresh().then(() => trouble(null), trouble);
    }
  } finally {
    busy = false;
    clearTimeout(slow);
    working(false);
  }
}

/** Says that the day takes a while: long periods do. */
function working(on) {
  find("#working").hidden = !on;
  find("#day-view").setAttribute("aria-busy", String(on));
}

async function refresh() {
  const asked = { ...state.asked(), width: chart.wanted() };
  const { text, name, ...rest } = asked;
  const key = JSON.stringify(rest);
  if (day === null || day.key !== key) {
    const answer = await askJson("/api/day", asked);
    if (day !== null && day.headline !== answer.headline) tell(answer.headline);
    const row = selected === null ? null : day.ledger[selected];
    day = { ...answer, key };
    selected = row && found(row);
  }
  show();
  await explain();
}

/** The place of a row in the new ledger, if it is still there. */
function found(row) {
  const place = day.ledger.findIndex((it) => it.at === row.at && it.zone === row.zone && it.request === row.request);
  return place < 0 ? null : place;
}

let explained = null;
async function explain() {
  const { at } = state.look;
  if (at === null) {
    moment.explain(null);
    return;
  }
  const key = JSON.stringify([day.key, at]);
  if (explained?.key !== key) explained = { ...(await askJson("/api/explain", { ...state.asked(), at })), key };
  const { id } = day.zones[zone()];
  moment.explain(explained.zones[id], clock(shownBy(day.chart.clocks)(at), day.chart.from));
}

function show() {
  const place = zone();
  find("#title").textContent = day.title;
  document.title = `${day.title} \u2013 setband`;
  find("#date").textContent = `${day.date}${day.days > 1 ? `, day ${day.day + 1} of ${day.days}; the numbers are for all ${day.days} days` : ""}`;
  find("#headline").textContent = day.headline;
  figures(find("#figures"), day);
  find("#zones").hidden = day.zones.length < 2;
  if (day.zones.length > 1) zones(find("#zones"), { day, zone: place, state });
  find("#chart-title").textContent = day.zones.length > 1 ? `The day of ${day.zones[place].label}` : "The day";
  find("#zone-figures").hidden = day.zones.length < 2;
  find("#zone-figures").textContent = day.figures.filter((it) => it.zone === place)
    .map((it) => `${it.label.toLowerCase()} ${figure(it)}`).join(", ");
  chart.show({ day, zone: place, at: state.look.at, selected });
  moment.show({ at: state.look.at, from: day.chart.from, clocks: day.chart.clocks, presses: state.now.presses,
    label: (id) => day.zones.find((it) => it.id === id)?.label ?? id });
  showLedger();
  showSettings([]);
  showRequirements();
  showDays();
}

let reviewed = null;     // the requirements as they were reviewed last
/** Shows what was reviewed, as long as it is about the present state. */
function showRequirements() {
  find("#requirements").hidden = day.requirements === 0;
  if (reviewed?.key !== day.key) reviewed = null;
  find("#requirements-ask").hidden = reviewed !== null;
  requirements(find("#requirements-shown"), reviewed?.answer ?? null);
}

async function review() {
  const { key } = day;
  tell("The requirements are being reviewed.");
  try {
    reviewed = { answer: await askJson("/api/requirements", state.asked()), key };
  } catch (error) {
    trouble(error);
    return;
  }
  tell(reviewed.answer.answer);
  showRequirements();
  find("#requirements-title").focus();
}

function showLedger() {
  find("#ledger-all-box").hidden = day.zones.length < 2;
  ledger(find("#ledger"), { day, zone: zone(), all: find("#ledger-all").checked || day.zones.length < 2, selected,
    onRow: (row) => select(row, false) });
}

function showSettings(faults) {
  const place = zone();
  const form = day.zones[place];
  const remarks = [...faults, ...day.findings];
  const own = remarks.filter((it) => it.path.startsWith(`zones.${form.id}.`) || it.path === `zones.${form.id}`);
  find("#settings-title").textContent = day.zones.length > 1 ? `Settings of ${form.label}` : "Settings";
  zoneSettings.show(form.sections, own, form.id);
  const group = day.groups.find((it) => it.zones.includes(place));
  const common = remarks.filter((it) => !it.path.startsWith("zones."));
  const sections = group?.fields.length > 0 ? [{ title: group.label, fields: group.fields }] : [];
  groupSettings.show(sections, common, group?.label ?? "");
}

function showDays() {
  const list = find("#day");
  find("#day-box").hidden = day.days < 2;
  if (list.options.length !== day.days) {
    list.replaceChildren(...Array.from({ length: day.days }, (_, at) => h("option", { value: at }, String(at + 1))));
  }
  list.value = day.day;
}

function showButtons() {
  find("#undo").disabled = state.past.length === 0;
  find("#redo").disabled = state.future.length === 0;
  find("#unpin").hidden = !state.now.pin;
  find("#pin").textContent = state.now.pin ? "Pin this state instead" : "Pin this state";
  find("#variant").value = state.now.variant ?? "";
}

/** What went wrong, over the last day that could be shown. */
function trouble(error) {
  if (error && !(error instanceof Trouble)) throw error;
  const list = error ? (error.faults.length > 0 ? error.faults : [{ message: error.message, path: "" }]) : [];
  if (error && day) showSettings(error.faults);
  const shown = list.slice(0, 20).map((it) => h("div", { class: "remark error" },
    h("p", {}, h("strong", {}, "Error: "), it.message, it.path ? h("span", { class: "source" }, ` (${it.path})`) : null),
    it.remedy ? h("p", { class: "remedy" }, "Remedy: ", it.remedy) : null));
  const stale = error && day ? h("p", { class: "note" }, "The chart still shows the last state that could be simulated.") : null;
  const address = warning ? h("div", { class: "remark warning" }, h("p", {}, h("strong", {}, "Warning: "), warning)) : null;
  replace(find("#trouble"), address, shown, stale);
  find("#day-view").classList.toggle("stale", Boolean(error && day));
}

/** Chooses a ledger row, and shows its mark, its time and its zone. */
function select(row, fromChart) {
  selected = selected === row && fromChart ? null : row;
  const it = day.ledger[row];
  const dayOfRow = Math.floor(it.at / 86400);
  const at = Math.floor(it.at / 60) * 60;
  if (fromChart && find("#ledger-all").checked === false) find("#ledger-all").checked = it.zone !== zone();
  state.see({ zone: day.zones[it.zone].id, day: dayOfRow, at });
  show();
  if (fromChart) showRow(find("#ledger"), row);
  tell(`${it.clock}, ${it.request}: ${it.outcome.replace("_", " ")}. ${it.reason}`);
}

function setTime(at) {
  state.see({ at });
}

function press({ press: key, by, role }) {
  const at = state.look.at ?? day.chart.from + 720 * 60;
  state.look.at = at;
  state.press({ at: shownBy(day.chart.clocks)(at), zone: day.zones[zone()].id, by, role, press: key });
}

function undo() {
  tell(state.undo() ? "Undone." : "There is nothing to undo.");
}

function redo() {
  tell(state.redo() ? "Done again." : "There is nothing to do again.");
}

const documents = {
  file: { what: "The scenario", kind: "text/yaml", name: (source) => source },
  report: { what: "The report", kind: "text/html", name: (source) => `${stem(source)}-report.html` },
  sheet: { what: "The test sheet", kind: "text/html", name: (source) => `${stem(source)}-sheet.html` },
};

const stem = (name) => name.replace(/\.ya?ml$/i, "");

async function handOver(which) {
  const { what, kind, name } = documents[which];
  try {
    tell(`${what} is being made.`);
    const text = await ask(`/api/${which}`, state.asked());
    download(name(state.source.name || "scenario.yaml"), text, kind);
    tell(`${what} was handed to the browser.`);
  } catch (error) {
    trouble(error);
  }
}

function wire() {
  find("#requirements-ask").onclick = review;
  find("#undo").onclick = undo;
  find("#redo").onclick = redo;
  find("#pin").onclick = () => { state.pin(); tell("Pinned."); };
  find("#unpin").onclick = () => state.unpin();
  find("#variant").onchange = (event) => state.chooseVariant(event.target.value || null);
  find("#day").onchange = (event) => state.see({ day: Number(event.target.value), at: null });
  find("#ledger-all").onchange = showLedger;
  for (const which of Object.keys(documents)) find(`#download-${which}`).onclick = () => handOver(which);
  addEventListener("keydown", (event) => {
    if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
    const key = event.key.toLowerCase();
    if (key === "z" && !event.shiftKey) undo();
    else if (key === "y" || (key === "z" && event.shiftKey)) redo();
    else return;
    event.preventDefault();
  });
  addEventListener("hashchange", route);
}

/** Shows what the address asks for: lessons, a puzzle, or the day with its changes. */
async function route() {
  const [, view, id] = /^#(lessons?|fault)(?:=(\w+))?$/.exec(location.hash) ?? [];
  const shown = !view ? "day" : view.startsWith("lesson") ? "lessons" : "fault";
  for (const name of ["day", "lessons", "fault"]) {
    find(`#${name}-view`).hidden = name !== shown;
    const link = find(`nav [data-view="${name}"]`);
    if (name === shown) link.setAttribute("aria-current", "page");
    else link.removeAttribute("aria-current");
  }
  if (shown === "lessons") await lessons.open(view === "lesson" ? id ?? null : null);
  else if (shown === "fault") await puzzle.open(/^\d+$/.test(id ?? "") ? Number(id) : null);
  else {
    warning = state.read();
    state.write();
    await changed();
  }
}

function variants(names) {
  find("#variant-box").hidden = names.length === 0;
  find("#variant").replaceChildren(h("option", { value: "" }, "as written"), ...names.map((name) => h("option", { value: name }, name)));
}

async function start() {
  wire();
  try {
    const source = await get("/api/source");
    state.reset(source);
    variants(source.variants);
    await route();
  } catch (error) {
    trouble(error);
    find("#title").textContent = "There is nothing to show yet";
  }
}

start();
