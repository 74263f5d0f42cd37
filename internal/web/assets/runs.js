// Runs: what was asked, how far it is, and what came of it.

import { ask, follow, make, notice, number, save } from "./api.js";

const words = { queued: "waiting its turn", running: "running", done: "done", partial: "in part", failed: "failed", cancelled: "cancelled" };

export async function runs(view, id) {
  const { runs: all } = await ask("GET", "/api/runs");
  view.append(make("h2", {}, "Runs"));
  if (!all.length) view.append(make("p", {}, "Nothing has been asked yet. Choose a works and ask."));
  const followed = new AbortController();
  for (const r of all) {
    const card = make("article", { class: "run", id: "run-" + r.id });
    view.append(card);
    draw(card, r);
    if (r.state === "queued" || r.state === "running") {
      follow(r.id, (state) => draw(card, state), followed.signal).catch((e) => { if (e.name !== "AbortError") notice(e.message); });
    }
  }
  document.getElementById("run-" + id)?.scrollIntoView();
  return () => followed.abort();
}

// draw shows one run as it is now.
async function draw(card, r) {
  const over = !["queued", "running"].includes(r.state);
  const parts = [make("p", { class: "state " + r.state }, words[r.state]), make("h3", {}, r.title || r.line), make("code", { class: "line" }, r.line)];
  if (r.state === "running") parts.push(progress(r.progress));
  if (over && r.said.trim()) parts.push(make("details", { open: r.state === "failed" }, make("summary", {}, "What it said"), make("pre", {}, r.said)));
  const actions = make("p", { class: "actions" });
  if (!over) actions.append(make("button", { type: "button", onclick: () => ask("POST", `/api/runs/${r.id}/stop`, {}).catch((e) => notice(e.message)) }, "Stop and keep what there is"));
  if (r.state === "done" || r.state === "partial") {
    actions.append(make("button", { type: "button", onclick: () => open(r) }, "Open the report"),
      make("button", { type: "button", onclick: () => download(r) }, "Save the answer (JSON)"));
  }
  parts.push(actions);
  card.replaceChildren(...parts);
  if (r.state === "done" || r.state === "partial") card.append(await figures(r));
}

// progress shows the half-width shrinking towards what is wanted.
function progress(p) {
  if (!p) return make("p", {}, "The first replication is running.");
  const left = p.done > 0 ? (p.seconds / p.done) * Math.max(0, toGo(p)) : 0;
  const text = `${p.done} of at most ${p.most} replications` + (p.driver ? `; ${p.driver} is known to ${number(100 * p.half_width, 2)} %` + (p.wanted ? `, wanted ${number(100 * p.wanted, 2)} %` : "") : "");
  return make("div", {}, make("progress", { max: p.most, value: p.done, "aria-label": "replications" }), make("p", {}, text + (left > 1 ? `; about ${Math.round(left)} s to go` : "")));
}

// toGo guesses the replications left: a half-width shrinks as one over the root
// of their number.
function toGo(p) {
  if (!p.wanted || !p.half_width) return p.most - p.done;
  return Math.min(p.most, p.done * (p.half_width / p.wanted) ** 2) - p.done;
}

async function open(r) {
  try {
    const { ticket } = await ask("POST", `/api/runs/${r.id}/ticket`, {});
    window.open("/report/" + ticket, "_blank", "noopener");
  } catch (e) { notice(e.message); }
}

async function download(r) {
  try {
    save(`potbank-${r.id}.json`, "application/json", JSON.stringify(await ask("GET", `/api/runs/${r.id}/answer`), null, 2));
  } catch (e) { notice(e.message); }
}

// figures shows the head of an answer: what its measures are, with intervals.
async function figures(r) {
  const box = make("div", { class: "figures" });
  let a;
  try { a = await ask("GET", `/api/runs/${r.id}/answer`); } catch { return box; }
  const shown = (a.measures ?? []).filter((m) => ["packed.total", "lead_time.mean", "lead_time.p95", "wip.total", "cost.per_good", "energy.per_good"].includes(m.name));
  for (const m of shown) {
    box.append(make("dl", {}, make("dt", { title: m.definition }, m.name), make("dd", {}, number(m.mean, 4) + (m.high !== null && m.high !== undefined ? ` ± ${number((m.high - m.low) / 2, 2)}` : ""), make("small", {}, m.unit))));
  }
  const warnings = a.warnings ?? [];
  if (warnings.length) box.append(make("details", {}, make("summary", {}, `${warnings.length} warning${warnings.length > 1 ? "s" : ""}`), make("ul", {}, ...warnings.map((w) => make("li", {}, w)))));
  return box;
}
