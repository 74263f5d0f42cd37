// The floor: one week of one replication to look at. The departments stand as
// the ware flows; what stands in them is shown at every ten minutes.

import { ask, make, notice } from "./api.js";

const svgNames = "http://www.w3.org/2000/svg";
const draw = (tag, attributes, text) => {
  const e = document.createElementNS(svgNames, tag);
  for (const [k, v] of Object.entries(attributes)) e.setAttribute(k, v);
  if (text !== undefined) e.textContent = text;
  return e;
};

export async function floor(view, name) {
  const { files } = await ask("GET", "/api/files");
  const scenarios = files.filter((f) => !f.question);
  const select = make("select", { name: "file" }, ...scenarios.map((f) => make("option", { value: f.name, selected: f.name === name }, f.name)));
  const input = (label, key, value) => make("label", {}, label, make("input", { name: key, value, inputmode: "numeric", pattern: "[0-9]*", size: "5" }));
  const form = make("form", { class: "look" }, make("label", {}, "Works", select), input("Replication", "replication", "1"), input("Week", "week", "12"), input("Follow piece", "piece", ""), make("button", { type: "submit" }, "Look"));
  const stage = make("div", { class: "stage" });
  view.append(make("h2", {}, "The floor, as it was"), make("p", { class: "caveat" }, "One run of chance: to see how the works moves, and evidence of nothing."), form, stage);
  let stop = () => {};
  form.addEventListener("submit", async (e) => {
    e.preventDefault();
    const data = new FormData(form);
    stop();
    notice("Running the weeks before it.");
    try {
      const week = await ask("POST", "/api/floor", { file: data.get("file"), replication: Number(data.get("replication")), week: Number(data.get("week")), piece: Number(data.get("piece")) });
      notice("");
      stop = play(stage, week);
    } catch (err) { notice(err.message); }
  });
  if (name) form.requestSubmit();
  return () => stop();
}

// play shows a week on the stage, and returns how to stop it.
function play(stage, week) {
  const scrub = make("input", { type: "range", min: 0, max: week.times.length - 1, value: 0, "aria-label": "time of the week" });
  const clock = make("output", { class: "clock" });
  const toggle = make("button", { type: "button" }, "Play");
  const next = make("button", { type: "button" }, "Next moment");
  const said = make("p", { role: "status", class: "said" });
  const picture = draw("svg", { class: "floor", viewBox: "0 0 1100 330", role: "img" });
  const counts = make("p", { class: "counts" });
  stage.replaceChildren(make("p", { class: "actions" }, toggle, next, clock), scrub, picture, legend(week), counts, said, story(week));

  const most = week.sections.map((_, s) => Math.max(1, ...week.stock.map((f) => f[s].reduce((a, b) => a + b, 0))));
  const show = () => {
    const t = Number(scrub.value);
    clock.textContent = week.times[t];
    picture.replaceChildren(...departments(week, t, most));
    picture.setAttribute("aria-label", "Stocks at " + week.times[t] + ": " + week.sections.map((s, i) => `${s} ${week.stock[t][i].reduce((a, b) => a + b, 0)}`).join(", "));
    counts.textContent = `Since the week began: ${week.packed[t]} packed, ${week.lost[t]} lost. Into a kiln in these ten minutes: ${week.fired[t]}. Each column is drawn against its fullest hour of the week.`;
  };
  let timer = 0;
  const halt = () => { clearInterval(timer); timer = 0; toggle.textContent = "Play"; };
  toggle.addEventListener("click", () => {
    if (timer) return halt();
    toggle.textContent = "Pause";
    timer = setInterval(() => {
      if (Number(scrub.value) >= week.times.length - 1) return halt();
      scrub.value = Number(scrub.value) + 1;
      show();
    }, 60);
  });
  scrub.addEventListener("input", show);
  next.addEventListener("click", () => {
    halt();
    const m = week.moments.find((m) => m.step > Number(scrub.value)) ?? week.moments[0];
    if (!m) { said.textContent = "Nothing stands out in this week."; return; }
    scrub.value = m.step;
    said.textContent = `${week.times[m.step]}: ${m.text}.`;
    show();
  });
  show();
  return halt;
}

// departments draws the sections as columns of what stands in them, in the
// order of the flow. Each column has its own scale: its fullest of the week.
function departments(week, t, most) {
  const width = 1100 / week.sections.length;
  const parts = [];
  week.sections.forEach((name, s) => {
    const x = s * width;
    const total = week.stock[t][s].reduce((a, b) => a + b, 0);
    parts.push(draw("rect", { x: x + 8, y: 40, width: width - 16, height: 220, class: "room" }));
    let y = 260;
    week.stock[t][s].forEach((n, w) => {
      const h = (n / most[s]) * 216;
      y -= h;
      parts.push(draw("rect", { x: x + 14, y, width: width - 28, height: h, class: "ware ware" + (w % 6) }));
    });
    parts.push(draw("text", { x: x + width / 2, y: 28, class: "total" }, String(total)));
    parts.push(draw("text", { x: x + width / 2, y: 284, class: "name" }, name));
    if (s > 0) parts.push(draw("path", { d: `M${x - 7} 150 h10 m-5 -5 l5 5 l-5 5`, class: "flow" }));
  });
  return parts;
}

function legend(week) {
  return make("ul", { class: "legend" }, ...week.wares.map((w, i) => make("li", { class: "ware" + (i % 6) }, w)));
}

// story tells what happened to the piece followed.
function story(week) {
  if (!week.story.length) return make("p", {}, "Give the number of a piece to follow it; pieces are numbered as their moulds are filled.");
  return make("table", { class: "story" }, make("caption", {}, "The piece followed"),
    make("tbody", {}, ...week.story.map((e) => make("tr", {}, make("td", {}, e.at), make("td", {}, e.section), make("td", {}, e.event), make("td", {}, [e.where, e.detail].filter(Boolean).join(", "))))));
}
