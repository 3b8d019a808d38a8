"use strict";

// The charts' read-outs and the ledger's filters. Without this script the page still says it all.
(() => {
  const runs = JSON.parse(document.getElementById("values").textContent);

  const one = tenths => (tenths / 10).toFixed(1);
  const setpoint = tenths => String(tenths / 10);
  const hours = minutes => minutes < 60 ? `${minutes} min` : `${(minutes / 60).toFixed(1)} h`;
  const watts = value => Math.abs(value) < 1000 ? `${value} W` : `${(value / 1000).toFixed(2)} kW`;

  // The value at a place of a list that only says where it changes.
  function at(list, place) {
    let found = null;
    for (const [from, value] of list) {
      if (from > place) break;
      found = value;
    }
    return found;
  }

  // A moment in words, as clocks show it.
  function moment(run, standard) {
    const seconds = run.every >= 86400 ? standard : standard + at(run.clocks, standard);
    const date = new Date(`${run.first}T00:00:00Z`);
    date.setUTCDate(date.getUTCDate() + Math.floor(seconds / 86400));
    const named = { weekday: "short", day: "numeric", month: "long", timeZone: "UTC" };
    const words = date.toLocaleDateString("en-GB", named);
    if (run.every >= 86400) return words;
    const of_day = seconds % 86400;
    const two = number => String(number).padStart(2, "0");
    const clock = `${two(Math.floor(of_day / 3600))}:${two(Math.floor(of_day / 60) % 60)}`;
    return run.days > 1 ? `${words}, ${clock}` : clock;
  }

  // What a zone does at a time; nothing where the run has no such zone.
  function values(run, all, seconds) {
    const place = Math.min(all.air.length - 1, Math.floor(seconds / run.every));
    const unit = run.unit;
    const band = `heat setpoint ${setpoint(at(all.heat, place))}, cool setpoint ${setpoint(at(all.cool, place))} ${unit}`;
    if (all.low) {
      const parts = [
        `air ${one(all.low[place])} to ${one(all.high[place])}, mean ${one(all.air[place])} ${unit}`,
        band,
        `outdoors ${one(all.outdoor[place])} ${unit} on average`,
        `heated ${hours(all.heating[place])}, cooled ${hours(all.cooling[place])}`,
        `${(all.electric[place] / 1000).toFixed(1)} kWh`,
      ];
      if (all.starved[place] > 0) parts.push(`starved ${hours(all.starved[place])}`);
      return parts.join("; ");
    }
    return [
      `air ${one(all.air[place])} ${unit}`,
      band,
      `outdoors ${one(all.outdoor[place])} ${unit}`,
      run.states[at(all.state, place)],
      watts(all.electric[place]),
    ].join("; ");
  }

  function bold(words) {
    const element = document.createElement("b");
    element.textContent = words;
    return element;
  }

  function readable(figure, drawing) {
    const plots = JSON.parse(drawing.dataset.plots)
      .map(([run, zone, left, right, top, bottom]) => ({ run, zone, left, right, top, bottom }));
    const svg = drawing.querySelector("svg");
    const sheet = { width: Number(svg.getAttribute("width")), height: Number(svg.getAttribute("height")) };
    const cursor = drawing.querySelector(".cursor");
    const output = figure.querySelector(".read-out");
    const first = runs[0];
    const last = first.zones[0].air.length - 1;
    let plot = 0;
    let place = null;

    function show(new_plot, new_place) {
      plot = Math.max(0, Math.min(plots.length - 1, new_plot));
      place = Math.max(0, Math.min(last, new_place));
      const { run, zone, left, right, top, bottom } = plots[plot];
      const seconds = place * first.every;
      const part = (seconds + (first.every >= 86400 ? first.every / 2 : 0)) / (first.days * 86400);
      cursor.hidden = false;
      cursor.style.left = `${100 * (left + part * (right - left)) / sheet.width}%`;
      cursor.style.top = `${100 * top / sheet.height}%`;
      cursor.style.height = `${100 * (bottom - top) / sheet.height}%`;
      const { id, name } = first.zones[zone];
      output.replaceChildren(bold(`${moment(first, seconds)} ${name}`));
      for (const each of run === null ? runs : [runs[run]]) {
        const all = each.zones.find(it => it.id === id);
        if (!all) continue;
        const line = document.createElement("span");
        if (each.name) line.append(bold(each.name), ": ");
        line.append(values(each, all, seconds));
        output.append(line);
      }
      output.classList.add("active");
    }

    function hide() {
      cursor.hidden = true;
      place = null;
    }

    function point(event) {
      const box = svg.getBoundingClientRect();
      const x = (event.clientX - box.left) / box.width * sheet.width;
      const y = (event.clientY - box.top) / box.height * sheet.height;
      const away = ({ top, bottom, left, right }) =>
        Math.max(top - y, y - bottom, 0) + Math.max(left - x, x - right, 0);
      let nearest = 0;
      plots.forEach((each, index) => { if (away(each) < away(plots[nearest])) nearest = index; });
      const { left, right } = plots[nearest];
      const part = (x - left) / (right - left);
      show(nearest, Math.floor(part * first.days * 86400 / first.every));
    }

    function key(event) {
      const far = Math.max(1, Math.round(last / 24));
      const middle = place ?? Math.round(last / 2);
      const near = Math.max(1, Math.round(last / 144));
      const moves = {
        ArrowLeft: () => show(plot, middle - near),
        ArrowRight: () => show(plot, middle + near),
        PageDown: () => show(plot, middle + far),
        PageUp: () => show(plot, middle - far),
        Home: () => show(plot, 0),
        End: () => show(plot, last),
        ArrowUp: () => show(plot - 1, middle),
        ArrowDown: () => show(plot + 1, middle),
        Escape: hide,
      };
      const several = plots.length > 1 || !event.key.match(/^Arrow(Up|Down)$/);
      if (moves[event.key] && several && !event.ctrlKey && !event.altKey && !event.metaKey) {
        event.preventDefault();
        moves[event.key]();
      }
    }

    drawing.addEventListener("pointermove", point);
    drawing.addEventListener("pointerdown", point);
    drawing.addEventListener("pointerleave", event => { if (event.pointerType === "mouse") hide(); });
    drawing.addEventListener("keydown", key);
  }

  function filterable(form) {
    const table = form.parentElement.querySelector("table.ledger");
    const rows = [...table.tBodies[0].rows];
    const words = rows.map(row => row.textContent.toLowerCase());
    const count = form.querySelector(".count");

    function filter() {
      const wanted = name => form.elements[name]?.value ?? "";
      const text = wanted("text").trim().toLowerCase();
      let shown = 0;
      rows.forEach((row, index) => {
        const fits = ["run", "zone", "outcome"].every(name => {
          const value = wanted(name);
          return value === "" || row.dataset[name] === value;
        }) && words[index].includes(text);
        row.hidden = !fits;
        if (fits) shown += 1;
      });
      count.value = shown === rows.length ? `${rows.length} rows` : `${shown} of ${rows.length} rows`;
    }

    form.addEventListener("input", filter);
    form.addEventListener("submit", event => event.preventDefault());
    filter();
  }

  for (const figure of document.querySelectorAll(".chart")) {
    for (const drawing of figure.querySelectorAll("[data-plots]")) readable(figure, drawing);
  }
  for (const form of document.querySelectorAll("form.filters")) filterable(form);

  // On paper nothing is folded away.
  let opened = [];
  addEventListener("beforeprint", () => {
    opened = [...document.querySelectorAll("details:not([open])")];
    for (const each of opened) each.open = true;
  });
  addEventListener("afterprint", () => {
    for (const each of opened) each.open = false;
  });
})();
