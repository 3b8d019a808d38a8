// Fills the sheet in on a screen: ok by one tap or key, another reading by its fields, timers, what is
// still to do. It is kept in this browser, and saved as the table that `infer` reads. Without scripts,
// and on paper, the sheet is filled in by hand.
"use strict";
(() => {
  const { csv, waits, title } = JSON.parse(document.getElementById("table").textContent);
  const written = csv.split("\n");
  const begin = written.findIndex((line) => !line.startsWith("#"));
  const head = written.slice(0, begin);
  const tail = written.slice(begin).filter((line) => line.startsWith("#"));
  const table = rows(written.filter((line) => !line.startsWith("#")).join("\n"));
  const names = table.shift();
  const place = (name) => names.indexOf(name);
  const fields = ["heat", "cool", "mode", "power", "running", "refused"];
  const choices = { mode: ["heat", "cool", "auto", "dry", "fan"], power: ["on", "off"],
    running: ["heating", "cooling", "none"], refused: ["yes", "no"] };
  const key = `sheet:${title}:${hash(csv)}`;
  const kept = read();

  /** The day by this device's clock. */
  function today() {
    const now = new Date();
    const two = (number) => String(number).padStart(2, "0");
    return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
  }

  /** The rows of a CSV text. */
  function rows(text) {
    const all = [[""]];
    let quoted = false;
    for (let at = 0; at < text.length; at += 1) {
      const letter = text[at];
      const row = all[all.length - 1];
      if (quoted && letter === '"' && text[at + 1] === '"') { row[row.length - 1] += '"'; at += 1; }
      else if (letter === '"') quoted = !quoted;
      else if (letter === "," && !quoted) row.push("");
      else if (letter === "\n" && !quoted) all.push([""]);
      else if (letter !== "\r") row[row.length - 1] += letter;
    }
    return all.filter((row) => row.length > 1);
  }

  function hash(text) {
    let sum = 0;
    for (const letter of text) sum = (Math.imul(sum, 31) + letter.codePointAt(0)) >>> 0;
    return sum.toString(36);
  }

  function read() {
    try { return JSON.parse(localStorage.getItem(key)) ?? {}; } catch { return {}; }
  }

  function keep() {
    try { localStorage.setItem(key, JSON.stringify(kept)); } catch { told.textContent = "This browser keeps nothing: save before you leave. "; }
    show();
  }

  const h = (tag, set = {}, ...children) => {
    const node = Object.assign(document.createElement(tag), set);
    node.append(...children);
    return node;
  };

  const told = h("span", { role: "status" });
  const running = h("span", { className: "timers" });
  const tester = h("input", { value: kept.tester ?? "", ariaLabel: "Tester", placeholder: "Tester", onchange: (event) => { kept.tester = event.target.value; keep(); } });
  const bar = h("div", { className: "bar" }, told, running, tester,
    h("button", { type: "button", onclick: next }, "Next line"),
    h("button", { type: "button", onclick: save }, "Save as CSV"));
  document.body.append(bar);

  const timers = [];
  const lines = [...document.querySelectorAll("tr[data-line]")];
  for (const row of lines) line(row, Number(row.dataset.line));
  addEventListener("keydown", (event) => {
    if (event.key.toLowerCase() !== "o" || event.target.matches("input, select") || event.ctrlKey || event.metaKey) return;
    const row = document.activeElement.closest?.("tr[data-line]") ?? open()[0];
    row?.querySelector(".tap.good").click();
  });
  show();
  setInterval(tick, 500);

  function line(row, number) {
    const expected = table[number - 1];
    const good = h("button", { type: "button", className: "tap good", ariaLabel: `Line ${number} is as expected`, onclick: () => mark({ ok: true }) }, "OK");
    const other = h("button", { type: "button", className: "tap other", ariaLabel: `Line ${number} reads otherwise`, onclick: () => mark(kept[number]?.read ? null : { read: {} }) }, "Other");
    const form = h("div", { className: "form" });
    row.querySelector("td.ok").append(good, other);
    row.querySelector("td.blank").append(form);
    for (const wait of waits.filter((it) => it.at === number)) row.querySelector("td.do").append(timer(wait.seconds, wait.line));
    row.update = () => {
      const state = kept[number];
      good.setAttribute("aria-pressed", String(Boolean(state?.ok)));
      other.setAttribute("aria-pressed", String(Boolean(state?.read)));
      row.classList.toggle("done", Boolean(state));
      form.hidden = !state?.read;
      if (state?.read && form.children.length === 0) form.append(...fields.map(field));
    };

    function field(name) {
      const wanted = expected[place(`expect_${name}`)];
      const value = kept[number].read[name] ?? wanted;
      const set = (event) => { kept[number].read[name] = event.target.value; keep(); };
      const input = choices[name]
        ? h("select", { onchange: set }, ...["", ...choices[name]].map((it) => h("option", { value: it, selected: it === value }, it)))
        : h("input", { inputMode: "decimal", value, onchange: set });
      kept[number].read[name] = value;
      return h("label", {}, name, input);
    }

    function mark(state) {
      if (state === null || (state.ok && kept[number]?.ok)) delete kept[number];
      else kept[number] = { ...state, date: today() };
      form.replaceChildren();
      keep();
    }
  }

  /** A button that counts down; the end is when the clock says so, also after the screen slept or the page
      was opened anew. Pressed once more it begins again. */
  function timer(seconds, number) {
    const button = h("button", { type: "button", className: "tap timer" }, `Start ${minutes(seconds)}`);
    button.onclick = () => { kept.ends = { ...kept.ends, [number]: Date.now() + seconds * 1000 }; keep(); tick(); };
    timers.push({ button, number });
    return button;
  }

  function minutes(seconds) {
    return `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")}`;
  }

  /** What is left on each timer that was started; in the bar, too, since another zone may be tested meanwhile. */
  function tick() {
    const words = [];
    for (const { button, number } of timers) {
      const ends = kept.ends?.[number];
      if (ends === undefined) continue;
      const left = Math.max(0, Math.ceil((ends - Date.now()) / 1000));
      const over = left === 0;
      button.textContent = over ? "Time is over: read" : `${minutes(left)} left`;
      if (over && !button.classList.contains("over") && !kept[number]) navigator.vibrate?.(400);
      button.classList.toggle("over", over);
      if (!kept[number]) words.push(over ? `Line ${number}: read now.` : `Line ${number}: ${minutes(left)} left.`);
    }
    running.textContent = words.join(" ");
  }

  function open() {
    return lines.filter((row) => !kept[row.dataset.line]);
  }

  function show() {
    for (const row of lines) row.update();
    tick();
    const left = open().length;
    told.textContent = left === 0 ? "All lines are done. " : `${left} of ${lines.length} lines to do. `;
  }

  function next() {
    const row = open()[0];
    if (!row) return;
    row.scrollIntoView({ block: "center" });
    row.querySelector(".tap.good").focus({ preventScroll: true });
  }

  function save() {
    const cell = (text) => (/[",\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text);
    const filled = table.map((row, at) => {
      const state = kept[at + 1];
      const cells = [...row];
      if (state?.ok) cells[place("ok")] = "ok";
      for (const name of state?.read ? fields : []) {
        if (row[place(`expect_${name}`)] !== "") cells[place(`read_${name}`)] = state.read[name] ?? "";
      }
      if (state) { cells[place("tester")] = kept.tester ?? ""; cells[place("date")] = state.date ?? today(); }
      return cells.map(cell).join(",");
    });
    const text = [...head, names.join(","), ...filled, ...tail, ""].join("\n");
    const link = h("a", { href: URL.createObjectURL(new Blob([text], { type: "text/csv" })), download: "sheet.csv" });
    document.body.append(link);
    link.click();
    link.remove();
  }
})();
