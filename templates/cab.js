"use strict";
(() => {
  const data = JSON.parse(document.getElementById("data").textContent), key = "cab " + data.key;
  const store = (() => { try { const s = window.localStorage; s.setItem("cab probe", "1"); s.removeItem("cab probe"); return s; } catch { return null; } })();
  let state = { ticks: {}, load: {}, night: null };
  try {
    const kept = JSON.parse((store && store.getItem(key)) || "{}");
    for (const part of ["ticks", "load"]) if (kept[part] && typeof kept[part] === "object") state[part] = { ...kept[part] };
    if (typeof kept.night === "boolean") state.night = kept.night;
  } catch { /* A damaged store starts anew. */ }
  const save = () => { try { if (store) store.setItem(key, JSON.stringify(state)); } catch { /* Full or closed: ticks stay until the page is left. */ } };
  const all = (where, what) => [...where.querySelectorAll(what)];
  const told = (number) => number.toLocaleString("en-US", { maximumFractionDigits: 1 });
  for (const part of all(document, ".js")) part.hidden = false;
  const night = document.getElementById("night");
  const dim = () => {
    const dark = state.night === null ? window.matchMedia("(prefers-color-scheme: dark)").matches : state.night;
    document.documentElement.classList.toggle("dark", dark); document.body.classList.toggle("dark", dark);
    night.setAttribute("aria-pressed", String(dark));
  };
  night.addEventListener("click", () => { state.night = night.getAttribute("aria-pressed") !== "true"; save(); dim(); });
  dim();
  data.sheets.forEach((sheet, at) => {
    const part = document.getElementById("sheet" + at), kinds = all(part, "[data-kind]");
    if (!kinds.length) return;
    let now = Math.min(Math.max(0, Number(state.load[sheet.code]) || sheet.next), sheet.loads.length - 1);
    const name = (load, step) => [sheet.code, sheet.loads[load].number, sheet.loads[load].run, step].join("|");
    const boxes = (load) => all(kinds[sheet.loads[load].kind], "input");
    const done = (load) => sheet.loads[load].done || boxes(load).every((_, step) => state.ticks[name(load, step)]);
    const show = () => {
      const load = sheet.loads[now];
      kinds.forEach((kind, n) => { kind.hidden = n !== load.kind; });
      let level = load.before, open = "", later = false;
      boxes(now).forEach((box, step) => {
        box.checked = Boolean(state.ticks[name(now, step)]);
        if (box.checked && !open && box.dataset.level) level = Number(box.dataset.level);
        if (!box.checked && !open) open = box.closest("label").querySelector(".name").textContent;
        if (box.checked && open) later = true;
      });
      part.querySelector(".tank").textContent = "Tank " + told(level) + " of " + told(load.full);
      part.querySelector(".load").textContent = "Load " + load.number;
      part.querySelector(".bar").setAttribute("width", String(Math.min(100, 100 * level / load.full)));
      part.querySelector(".missing").textContent = later ? "Not ticked yet: " + open : "";
      const which = part.querySelector(".which");
      if (which) which.textContent = "Load " + load.number + " of " + load.of + ". " + load.way + (load.done ? ". Logged" : done(now) ? ". Done" : "");
      const count = document.querySelector("[data-count='" + at + "']");
      if (count) count.textContent = sheet.loads.length + " loads, " + sheet.loads.filter((_, n) => done(n)).length + " done";
    };
    part.addEventListener("change", (event) => {
      const step = boxes(now).indexOf(event.target);
      if (step < 0) return;
      if (event.target.checked) state.ticks[name(now, step)] = new Date().toISOString(); else delete state.ticks[name(now, step)];
      save(); show();
    });
    for (const button of all(part, "[data-go]")) button.addEventListener("click", () => {
      now = Math.min(Math.max(0, now + Number(button.dataset.go)), sheet.loads.length - 1);
      state.load[sheet.code] = now; save(); show();
    });
    show();
  });
  const field = (id) => document.getElementById(id), answer = field("answer");
  const typed = (id) => { const text = field(id).value.trim().replace(",", "."); return text === "" ? NaN : Number(text); };
  const say = (lines) => answer.replaceChildren(...lines.map((line) => { const p = document.createElement("p"); p.textContent = line; return p; }));
  const work = () => {
    const job = data.jobs[Number(field("job").value)];
    if (!job) return;
    field("covered-label").hidden = field("sprayed-label").hidden = !job.spot;
    const covered = typed("covered"), sprayed = typed("sprayed"), left = typed("left"), tank = typed("tank"), lines = [];
    const share = job.spot ? sprayed / (covered * job.carrier) : 1;
    if (!(share >= 0 && left >= 0 && tank >= 0 && isFinite(share))) return say(["Fill in every box with a number."]);
    if (job.spot) lines.push("Share read: " + Math.round(share * 100) + " %.");
    const usable = Math.max(0, tank - job.unusable), short = left * job.carrier * share - usable;
    if (short <= 0) return say([...lines, "Enough: about " + told(-short) + " " + data.volume + " more than the rest needs."]);
    // What the pump cannot draw is only short where the tank holds less than that.
    const wanted = short + Math.max(0, job.unusable - tank), room = job.tank - tank;
    lines.push("Short by " + told(wanted) + " " + data.volume + ".");
    const fits = job.amounts.filter((row) => row[0] <= room + 1e-6), row = fits.find((each) => each[0] >= wanted - 1e-6) || fits[fits.length - 1];
    if (!row) return say([...lines, "The tank is full: spray it out first."]);
    lines.push("Make " + told(row[0]) + " " + data.volume + ", tank then at " + told(tank + row[0]) + "." + (row[0] < wanted ? " More than one tank is still to come." : ""));
    job.products.forEach((product, n) => lines.push(product + ": " + (row[1][n] || "not entered")));
    return say(lines);
  };
  field("dry-form").addEventListener("input", work);
  field("dry-form").addEventListener("submit", (event) => event.preventDefault());
  work();
})();
