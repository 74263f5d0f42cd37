// Answers: what was asked, how far it is, and what came of it.

import { ask, begin, follow, h, keep, notice, number } from "./api.js";

const words = {
  queued: "waiting its turn",
  running: "running",
  done: "done",
  partial: "stopped: in part",
  failed: "failed",
  cancelled: "cancelled",
};

// heads are the measures that an answer begins with, in words.
const heads = {
  "packed.total": "good pieces",
  "lead_time.mean": "lead time, mean",
  "lead_time.p95": "lead time of 95 in 100",
  "wip.total": "in the works",
  "cost.per_good": "cost of a good piece",
  "energy.per_good": "energy for a good piece",
};

const over = (r) => !["queued", "running"].includes(r.state);

export async function runs(view, id) {
  return id ? one(view, id) : all(view);
}

// all lists what was asked since the page was opened, and before that if it is
// kept.
async function all(view) {
  const [{ runs: now }, { kept, asked }] = await Promise.all([
    ask("GET", "/api/runs"),
    ask("GET", "/api/history"),
  ]);
  view.append(h.h1("Answers"));
  if (now.length)
    view.append(
      h.ul(
        { class: "rows" },
        ...now.map((r) =>
          h.li(
            h.span(
              h.a({ href: "#runs/" + r.id }, r.title || r.line),
              h.small(when(r.asked) + (r.title ? ", " + r.line : "")),
            ),
            h.span({ class: "state " + r.state }, words[r.state]),
          ),
        ),
      ),
    );
  else
    view.append(
      h.p("Nothing has been asked since this page was opened. ", h.a({ href: "#start" }, "Ask something.")),
    );
  view.append(h.h2("Asked before"));
  if (!kept)
    return view.append(
      h.p(
        "Nothing is kept when the page is closed. Open it with ",
        h.code("--ledger works.ledger"),
        " and every replication is: what was asked before is listed here, and asked again it is there at once.",
      ),
    );
  const again = async (a) => {
    try {
      await begin(a);
    } catch (e) {
      notice(e.message);
    }
  };
  view.append(
    asked.length
      ? h.ul(
          { class: "rows history" },
          ...asked.map((a) =>
            h.li(
              h.span(
                h.code(a.line),
                h.small(
                  `${when(a.at)}, ${a.ended ? (a.code === 0 ? "done" : a.code === 130 ? "stopped" : "ended with " + a.code) : "not ended"}`,
                ),
              ),
              a.again
                ? h.button(
                    { type: "button", class: "quiet", onclick: () => again(a) },
                    "Ask again",
                    h.span({ class: "hidden" }, ": " + a.line),
                  )
                : h.small("not of this folder"),
            ),
          ),
        )
      : h.p("The ledger holds nothing yet."),
  );
}

function when(time) {
  return new Date(time).toLocaleString("en-GB", { dateStyle: "medium", timeStyle: "short" });
}

// one shows one run as it goes, and its answer.
async function one(view, id) {
  const r = await ask("GET", "/api/runs/" + id);
  const followed = new AbortController();
  const card = h.article({ class: "run", "aria-busy": "true" });
  view.append(card);
  const shown = { state: "", widths: [] };
  const draw = (state) => show(card, state, shown).catch((e) => notice(e.message));
  await draw(r);
  if (!over(r))
    follow(r.id, draw, followed.signal).catch((e) => {
      if (e.name !== "AbortError") notice("The progress was cut off; open the answer again to see it.");
    });
  return () => followed.abort();
}

// show draws a run as it is now. While it runs only its progress is renewed, so
// that the button to stop it stays where it is.
async function show(card, r, shown) {
  if (r.state !== shown.state) {
    shown.state = r.state;
    card.setAttribute("aria-busy", String(!over(r)));
    shown.progress = h.div({ class: "progress" });
    card.replaceChildren(
      h.p({ class: "state " + r.state, role: "status" }, words[r.state]),
      h.h1(r.title || "The answer comes here"),
      r.lead?.length ? h.p({ class: "lead" }, r.lead[0]) : "",
      h.code({ class: "line" }, r.line),
      shown.progress,
    );
    if (!over(r))
      card.append(
        h.p(
          { class: "actions" },
          h.button(
            {
              type: "button",
              class: "stop",
              onclick: () => ask("POST", `/api/runs/${r.id}/stop`, {}).catch((e) => notice(e.message)),
            },
            "Stop and keep what there is",
          ),
        ),
      );
    if (over(r)) card.append(...(await answer(r)));
  }
  shown.progress.replaceChildren(...progress(r, shown.widths));
}

// progress tells how far it is: what is counted, the half-width shrinking towards
// what is wanted, the time left. The half-widths seen so far are kept in widths.
function progress(r, widths) {
  const p = r.progress;
  if (over(r)) return r.state === "partial" && p ? [stopped(p)] : [];
  if (!p)
    return [
      h.p(
        r.state === "queued"
          ? "Another run is going; this one is next in line."
          : "The first replication is running.",
      ),
    ];
  const parts = [
    h.progress({ max: p.most, value: p.done, "aria-label": p.doing || "replications" }),
    h.p({ class: "count" }, counted(p)),
  ];
  if (p.half_width && !p.doing) {
    if (widths.at(-1)?.done !== p.done) widths.push({ done: p.done, width: p.half_width });
    parts.push(
      h.p(
        { class: "half" },
        `${heads[p.driver] ?? p.driver} is known to ± ${number(100 * p.half_width, 2)} %` +
          (p.wanted ? `; ± ${number(100 * p.wanted, 2)} % is wanted` : ""),
      ),
      shrinking(widths, p.wanted),
    );
  }
  return parts;
}

function stopped(p) {
  return h.p(
    { class: "partial" },
    `Stopped after ${p.done} of ${p.most}${p.doing ? `, ${p.doing}` : " replications"}. What stands here rests on those; its intervals are wider.`,
  );
}

function counted(p) {
  const left =
    p.left >= 1
      ? `; about ${duration(p.left)} to go`
      : p.done >= p.most
        ? "; all done, the answer is being put together and checked"
        : "";
  if (p.doing) return `${p.done} of ${p.most}: ${p.doing}${left}`;
  return `${p.done} of ${p.wanted ? "at most " : ""}${p.most} replications${left}`;
}

// shrinking draws the half-widths over the replications, with what is wanted as a
// dashed line. The line of text above it says the same.
function shrinking(widths, wanted) {
  const most = Math.max(...widths.map((w) => w.width), wanted ?? 0);
  const first = widths[0].done;
  const span = Math.max(1, widths.at(-1).done - first);
  const x = (w) => (100 * (w.done - first)) / span;
  const y = (width) => 30 - (28 * width) / most;
  const picture = drawing("svg", {
    viewBox: "0 0 100 30",
    preserveAspectRatio: "none",
    class: "shrinking",
    "aria-hidden": "true",
  });
  picture.append(drawing("polyline", { points: widths.map((w) => `${x(w)},${y(w.width)}`).join(" ") }));
  if (wanted) picture.append(drawing("line", { x1: 0, x2: 100, y1: y(wanted), y2: y(wanted) }));
  return picture;
}

function drawing(tag, attributes) {
  const e = document.createElementNS("http://www.w3.org/2000/svg", tag);
  for (const [name, value] of Object.entries(attributes)) e.setAttribute(name, value);
  return e;
}

function duration(s) {
  if (s < 90) return `${Math.round(s)} s`;
  return s < 5400 ? `${Math.round(s / 60)} min` : `${number(s / 3600, 2)} h`;
}

// answer is what there is of a run that has ended.
async function answer(r) {
  const parts = [];
  if (r.state === "done" || r.state === "partial")
    parts.push(await figures(r), downloads(r), await changes(r), await report(r));
  if (r.said.trim())
    parts.push(
      h.details(
        { open: r.state === "failed" },
        h.summary("What else was said"),
        h.pre({ tabindex: "0" }, r.said),
      ),
    );
  return parts;
}

function downloads(r) {
  const get = (face, name) =>
    h.button(
      {
        type: "button",
        class: "quiet",
        onclick: () => keep(`/api/runs/${r.id}/answer/${face}`, name).catch((e) => notice(e.message)),
      },
      name.split(".").pop().toUpperCase(),
      h.span({ class: "hidden" }, " of this answer"),
    );
  const open = async () => {
    try {
      window.open(
        "/report/" + (await ask("POST", `/api/runs/${r.id}/ticket`, {})).ticket,
        "_blank",
        "noopener",
      );
    } catch (e) {
      notice(e.message);
    }
  };
  return h.p(
    { class: "actions" },
    h.button({ type: "button", onclick: open }, "Open the report to print"),
    "Keep as",
    get("report.html", `potbank-${r.id}.html`),
    get("answer.xlsx", `potbank-${r.id}.xlsx`),
    get("tables.zip", `potbank-${r.id}.csv`.replace(".csv", "-csv.zip")),
    get("answer.json", `potbank-${r.id}.json`),
  );
}

// figures are the head of an answer that has measures.
async function figures(r) {
  const a = await ask("GET", `/api/runs/${r.id}/answer/answer.json`);
  const box = h.div({ class: "figures" });
  for (const m of a.measures ?? []) {
    if (!heads[m.name] || typeof m.mean !== "number") continue;
    const interval =
      m.low === null || m.low === undefined ? "" : `between ${number(m.low, 4)} and ${number(m.high, 4)}`;
    box.append(
      h.dl(
        { "data-measure": m.name, "data-mean": m.mean },
        h.dt(heads[m.name]),
        h.dd(h.b(number(m.mean, 4)), " ", h.small(m.unit)),
        h.dd({ class: "interval" }, interval),
      ),
    );
  }
  const warnings = a.warnings ?? [];
  if (warnings.length)
    box.append(
      h.details(
        h.summary(warnings.length === 1 ? "1 warning" : `${warnings.length} warnings`),
        h.ul(...warnings.map((w) => h.li(w))),
      ),
    );
  return box;
}

// changes tells what each option has otherwise than the works as it is.
async function changes(r) {
  const { options } = await ask("POST", "/api/changes", { files: r.files });
  if (!options.length) return "";
  return h.details(
    { class: "changes" },
    h.summary("What each option changes"),
    ...options.map((o) =>
      h.section(
        h.h2(o.name),
        h.table(
          h.thead(h.tr(...["Value", "Today", "Then", "That is"].map((head) => h.th({ scope: "col" }, head)))),
          h.tbody(
            ...o.changes.map((c) =>
              h.tr(
                h.th({ scope: "row" }, c.path, c.means ? h.small(" " + c.means) : null),
                h.td(c.before || "-"),
                h.td(c.after || "-"),
                h.td(c.says),
              ),
            ),
          ),
        ),
      ),
    ),
  );
}

// report is the page that can be kept, in a frame that runs no script.
async function report(r) {
  const { ticket } = await ask("POST", `/api/runs/${r.id}/ticket`, {});
  const frame = h.iframe({
    class: "report",
    src: "/report/" + ticket,
    title: "The report",
    onload: () => {
      frame.dataset.loaded = "yes";
    },
  });
  return frame;
}
