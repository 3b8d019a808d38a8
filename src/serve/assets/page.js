// The page: what is changed goes to the server, and the day that comes back is shown.

import { fill, find, h, replace, tell } from "./dom.js";
import { askJson, get } from "./server.js";
import { State } from "./state.js";
import { Overlay, shownBy } from "./overlay.js";
import { Moment } from "./moment.js";
import { Panel, faultsOf } from "./panel.js";
import { calendar, worstDay } from "./calendar.js";
import { Comparison } from "./compare.js";
import { figures } from "./figures.js";
import { ledger, showRow } from "./ledger.js";
import { handOver } from "./handover.js";
import { Handles } from "./handles.js";
import { Help } from "./help.js";
import { rows, sizeOfRows } from "./rows.js";
import { Site } from "./site.js";
import { Night } from "./night.js";
import { Requirements } from "./requirements.js";
import { Lessons } from "./lessons.js";
import { roomOf, tryRoom } from "./trying.js";
import { FindTheFault } from "./fault.js";
import { capital, clock, figure, outcome } from "./words.js";

const state = new State(changed);
const handles = new Handles({
  onMove: ({ end, ...move }, join) => panel.move({ ...move, ...(end === undefined ? {} : { end }), of: [day.zones[zone()].id] }, join),
});
const chart = new Overlay(find("#chart"), { handles, onTime: setTime, onMark: (row) => select(row, true), onWidth: changed });
let resizing;
addEventListener("resize", () => {
  clearTimeout(resizing);
  resizing = setTimeout(() => { size = null; if (day) changed(); }, 200);
});
const moment = new Moment(find("#moment"), {
  onTime: setTime,
  onPress: press,
  onRemove: (place) => state.removePress(place),
});
const help = new Help(find("#help-shown"), { state, after, onUndo: undo, onNews: () => { if (day) panel.show(); } });
const panel = new Panel({ state, look: () => ({ day, place: day && zone(), alone: day && inRoom() }), isWorthSaying: worthSaying, onTrouble: refused });
const site = new Site({ state, look: () => ({ day, place: zone() }), onTry: (it) => help.take(it), onTrouble: refused });

const give = (which, asked) => handOver(which, asked, state.source.name, refused);
const comparison = new Comparison({ state, onDownload: (asked) => give("comparison", asked), onTrouble: refused });
const night = new Night(find("#night-form"), { about: () => {
  const { id } = day.zones[zone()];
  const width = Math.round(find(".top").clientWidth);
  return { key: JSON.stringify([state.key(), id]), asked: { ...state.plain(state.now), zone: id, width } };
}, onTrouble: refused, onTold: tell });

const review = new Requirements({ about: () => ({ key: day.key, asked: state.asked() }), onTrouble: refused });

const lessons = new Lessons(find("#lessons-view"), { onTry: tryRoom });
const puzzle = new FindTheFault(find("#fault-view"));

let day = null;          // what the server answered last
let selected = null;     // the ledger row that is chosen
let busy = false;
let again = false;
let warning = null;      // about the address
let size = null;         // of the rows; measured anew where the window has another size

/** The zone that is looked at, as a place in the day. */
function zone() {
  const place = day.zones.findIndex((it) => it.id === state.look.zone);
  return place < 0 ? 0 : place;
}

/** Whether a room is shown by itself: the only one always is. */
const inRoom = () => !comparing() && (day.zones.length < 2 || state.look.view === "room");

/** Whether two states are held against each other. */
const comparing = () => state.look.view === "compare" && comparison.isPossible();

/** Asks for the day until nothing has changed meanwhile. */
async function changed() {
  showButtons();
  help.stopWhereOld();
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
  const wide = find("#room-view").hidden ? find(".top").clientWidth : undefined;
  const asked = { ...state.asked(), width: chart.wanted(wide), rows: { ...(size ??= sizeOfRows()), worst: state.look.worst } };
  const { text, name, ...rest } = asked;
  const key = JSON.stringify(rest);
  if (day === null || day.key !== key) {
    const answer = await askJson("/api/day", asked);
    const { days, answer: sentence } = answer.overview;
    // Nobody has chosen a day yet: the worst one tells most.
    if (state.look.day === null && days.length > 1 && days[worstDay(days)].value > 0 && worstDay(days) !== answer.day) {
      state.look.day = worstDay(days);
      await refresh();
      return;
    }
    if (day !== null && day.overview.answer !== sentence) tell(sentence);
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
  const several = day.zones.length > 1;
  find("#title").textContent = day.title;
  document.title = `${day.title} \u2013 setband`;
  find("#date").textContent = `${day.date}${day.days > 1 ? `, day ${day.day + 1} of ${day.days}` : ""}`;
  find("#headline").textContent = day.overview.answer;
  figures(find("#figures"), day);
  showViews();
  find("#overview").hidden = comparing() || (inRoom() && day.days < 2);
  find("#rows").hidden = inRoom() || comparing();
  find("#room-view").hidden = !inRoom();
  find("#ledger-section").hidden = !inRoom();
  calendar(find("#calendar"), { day, choose: (at) => state.see({ day: at, at: null }) });
  comparison.show(comparing());
  if (!inRoom() && !comparing()) rows(find("#rows"), { day, choose: openRoom });
  find("#chart-title").textContent = several ? `The day of ${day.zones[place].label}` : "The day";
  find("#zone-figures").hidden = !several;
  find("#zone-figures").textContent = `${day.days > 1 ? `All ${day.days} days: ` : ""}${day.figures.filter((it) => it.zone === place)
    .map((it) => `${it.label.toLowerCase()} ${figure(it)}`).join(", ")}`;
  if (inRoom()) {
    const fields = day.zones[place].sections.flatMap((section) => section.fields);
    chart.show({ day, zone: place, at: state.look.at, selected, fields });
    moment.show({ at: state.look.at, from: day.chart.from, clocks: day.chart.clocks, presses: state.now.presses,
      label: (id) => day.zones.find((it) => it.id === id)?.label ?? id, result: endedSo });
  }
  if (inRoom()) site.show(shownBy(day.chart.clocks));
  showLedger();
  panel.show();
  help.show();
  showNight();
  review.show(day.requirements);
  showDays();
}

/** The choice between all rooms and one, and of what worst means. */
function showViews() {
  const several = day.zones.length > 1;
  find("#views").hidden = !several && day.days < 2 && !comparison.isPossible();
  find("#see-all").textContent = several ? "All rooms" : "The room";
  find("#see-all").setAttribute("aria-pressed", String(!comparing() && (!several || !inRoom())));
  find("#see-compare").hidden = !comparison.isPossible();
  find("#see-compare").setAttribute("aria-pressed", String(comparing()));
  const room = find("#room");
  room.parentElement.hidden = !several;
  fill(room, [["", "choose\u2026"], ...day.zones.map((it) => [it.id, it.label])]);
  room.value = inRoom() ? day.zones[zone()].id : "";
  find("#worst-box").hidden = !several;
  fill(find("#worst"), day.overview.choices);
  find("#worst").value = day.overview.worst;
}

/** How a press on this page ended, in words. */
function endedSo(press) {
  const at = day.ledger.find((row) => row.request.includes(press.press) && row.by === (press.by.trim() || row.by)
    && day.zones[row.zone].id === press.zone && shownBy(day.chart.clocks)(row.at) === press.at);
  return at ? `${capital(outcome(at.outcome))}: ${at.reason}.` : "";
}

/** Shows a room by itself. */
function openRoom(id) {
  panel.turn();
  state.see({ zone: id, view: "room" });
  after(() => find("#chart-title").focus({ preventScroll: true }));
}

function seeAll() {
  panel.turn();
  const from = day.zones[zone()].id;
  state.see({ view: "all" });
  after(() => find(`[data-keep="zone-${CSS.escape(from)}"]`)?.focus({ preventScroll: true }));
}

/** Does something once the page shows what was asked for. */
function after(done) {
  const wait = () => (busy || again ? setTimeout(wait, 20) : done());
  wait();
}

/** The worst night is one room's. */
function showNight() {
  const alone = day.zones.length === 1;
  find("#night").hidden = comparing() || !(alone || inRoom());
  find("#night-title").textContent = alone ? "The worst night" : `The worst night of ${day.zones[zone()].label}`;
  night.show();
}

function showLedger() {
  find("#ledger-all-box").hidden = day.zones.length < 2;
  ledger(find("#ledger"), { day, zone: zone(), all: find("#ledger-all").checked || day.zones.length < 2, selected,
    onRow: (row) => select(row, false) });
}

/** Nobody is warned against an owner where no other one was found to be better. */
function worthSaying(finding) {
  if (!finding.path.endsWith(".owner")) return true;
  return help.knowsBetterDecider();
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
  const active = document.activeElement;
  find("#undo").disabled = state.past.length === 0;
  find("#redo").disabled = state.future.length === 0;
  // Who has undone everything, or done all of it again, goes on with the other button.
  if (active?.disabled && active.id === "undo") find("#redo").focus();
  if (active?.disabled && active.id === "redo") find("#undo").focus();
  find("#unpin").hidden = !state.now.pin;
  find("#pin").textContent = state.now.pin ? "Pin instead" : "Pin this state";
  find("#variant").value = state.now.variant ?? "";
}

/** What went wrong with the day: the last one that could be simulated stays, and is shown as such. */
function trouble(error) {
  if (error && day && error.faults.length > 0) panel.show(error.faults);
  const stale = error && day ? h("p", { class: "note" }, "The chart still shows the last state that could be simulated.") : null;
  const address = warning ? h("div", { class: "remark warning" }, h("p", {}, h("strong", {}, "Warning: "), warning)) : null;
  replace(find("#trouble"), address, faultsOf(error), stale);
  find("#day-view").classList.toggle("stale", Boolean(error && day));
}

/** What went wrong with something that was asked for beside the day, which stands as it is. */
function refused(error) {
  replace(find("#trouble"), faultsOf(error));
}

/** Chooses a ledger row, and shows its mark, its time and its zone. */
function select(row, fromChart) {
  selected = selected === row && fromChart ? null : row;
  const it = day.ledger[row];
  const dayOfRow = Math.floor(it.at / 86400);
  const at = Math.floor(it.at / 60) * 60;
  if (fromChart && find("#ledger-all").checked === false) find("#ledger-all").checked = it.zone !== zone();
  state.see({ zone: day.zones[it.zone].id, day: dayOfRow, at, view: "room" });
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
  panel.settle();
  tell(state.undo() ? "Undone." : "There is nothing to undo.");
}

function redo() {
  panel.settle();
  tell(state.redo() ? "Done again." : "There is nothing to do again.");
}

function wire() {
  find("#undo").onclick = undo;
  find("#redo").onclick = redo;
  find("#pin").onclick = () => { comparison.forget(); state.pin(); tell("Pinned."); };
  find("#unpin").onclick = () => { state.unpin(); find("#pin").focus(); };
  find("#variant").onchange = (event) => { panel.quiet(); state.chooseVariant(event.target.value || null); };
  find("#see-all").onclick = seeAll;
  find("#see-compare").onclick = () => {
    state.see({ view: "compare" });
    after(() => find("#compare-title").focus({ preventScroll: true }));
  };
  find("#room").onchange = (event) => (event.target.value ? openRoom(event.target.value) : seeAll());
  find("#worst").onchange = (event) => state.see({ worst: event.target.value });
  find("#skip-answer").onclick = () => {
    const places = ["#headline", "#question", "#verdict", "#fault-question", "h1"];
    places.map((place) => find(`main > section:not([hidden]) ${place}`)).find((it) => it).focus();
  };
  find("#skip-settings").onclick = () => (find("#settings input:not([type=range]), #settings select") ?? find("#settings-title")).focus();
  find("#keep").onchange = (event) => {
    const which = event.target.value;
    event.target.value = "";
    if (which) give(which, which === "bundle" ? { asked: state.asked(), kept: state.kept() } : state.asked());
  };
  find("#day").onchange = (event) => state.see({ day: Number(event.target.value), at: null });
  find("#ledger-all").onchange = showLedger;
  addEventListener("keydown", (event) => {
    if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
    // In a field undo takes back what is being typed.
    if (event.target.matches?.('input[type="text"], [data-typing]')) return;
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
  // A place on this page, such as a heading, is no address of a state.
  if (location.hash.length > 1 && document.getElementById(location.hash.slice(1))) return;
  if (view) help.stop();
  const shown = !view ? "day" : view.startsWith("lesson") ? "lessons" : "fault";
  for (const name of ["day", "lessons", "fault"]) {
    find(`#${name}-view`).hidden = name !== shown;
    const link = find(`nav [data-view="${name}"]`);
    if (name === shown) link.setAttribute("aria-current", "page");
    else link.removeAttribute("aria-current");
  }
  find("#skip-settings").hidden = shown !== "day";
  find("#skip-answer").textContent = shown === "day" ? "Skip to the answer" : "Skip to the question";
  if (shown === "lessons") await lessons.open(view === "lesson" ? id ?? null : null);
  else if (shown === "fault") await puzzle.open(/^\d+$/.test(id ?? "") ? Number(id) : null);
  else if (state.lessonInAddress() !== (state.source.lesson ?? null)) {
    state.setAside();
    location.reload();
  }
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
    const source = await roomOf(state.lessonInAddress()) ?? await get("/api/source");
    state.reset(source);
    state.goOn(source.state);
    state.takeUp();
    variants(source.variants);
    await route();
  } catch (error) {
    trouble(error);
    find("#title").textContent = "There is nothing to show yet";
  }
}

start();
