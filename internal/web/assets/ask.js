// Questions: a form for each, which writes a command line and, where the question
// needs more than a line, a file that can be kept.

import { ask, begin, h, notice, plainName, put } from "./api.js";
import { asks } from "./start.js";

const measures = [
  ["cost.per_good", "cost of a good piece"],
  ["packed.total", "good pieces a week"],
  ["lead_time.mean", "lead time"],
  ["wip.total", "pieces in the works"],
];
const depths = [
  ["12", "quick: 12 weeks"],
  ["18", "usual: 18 weeks"],
  ["36", "thorough: 36 weeks"],
];

const field = (label, input, note) => h.label(label, input, note ? h.small(note) : null);
const text = (name, value, more = {}) => h.input({ name, value, autocomplete: "off", ...more });
const choose = (name, options, value) =>
  h.select({ name }, ...options.map(([v, t]) => h.option({ value: v, selected: v === value }, t)));

// forms have for each command its fields, and what comes of them: a request, and
// perhaps a question to be written first.
const forms = {
  run: {
    fields: () => [
      numbers("weeks", "Weeks of one replication"),
      numbers("replications", "Replications"),
      field("Known to within", text("precision", "", { placeholder: "as the file says, such as 1 %" })),
    ],
    flags: (d) => plain(d, "weeks", "replications", "precision"),
  },
  compare: {
    fields: (about) => [
      h.fieldset(
        { class: "ticks" },
        h.legend("Whose shifts?"),
        ...about.crews.map((c) =>
          h.label(
            h.input({ type: "checkbox", name: "crews", value: c.name, checked: c.usual }),
            `${c.name}: ${c.heads} in ${c.hours.join(" and ")}`,
          ),
        ),
      ),
      field("What decides?", choose("by", measures, "cost.per_good")),
      field("Premium for a late shift", text("late", "10 %")),
      field("Premium for a night", text("night", "25 %")),
      field("How thorough?", choose("weeks", depths, "12")),
    ],
    question: (d) => ({
      by: d.get("by"),
      crews: d.getAll("crews"),
      premium: ["0 %", d.get("late"), d.get("night")],
      weeks: Number(d.get("weeks")),
    }),
  },
  size: {
    fields: () => [
      field("Good pieces wanted a week", text("demand", "", { inputmode: "numeric", required: true })),
      field("What a good piece brings", text("worth", "42 EUR"), "guess"),
      field("Capital for one more car in the tunnel", text("car", "100000 EUR"), "guess"),
      field("Capital for one more shuttle", text("kiln", "350000 EUR"), "guess"),
      field("How thorough?", choose("weeks", depths, "18")),
    ],
    question: (d) => ({
      demand: d.get("demand"),
      worth: d.get("worth"),
      car: d.get("car"),
      kiln: d.get("kiln"),
      weeks: Number(d.get("weeks")),
    }),
  },
  promise: {
    fields: (about) => [
      field(
        "Ware",
        choose(
          "ware",
          about.wares.map((w) => [w, w]),
        ),
      ),
      field("Good pieces ordered", text("quantity", "", { inputmode: "numeric", required: true })),
      field("Cast for it from", h.input({ type: "date", name: "start", value: about.start.slice(0, 10) })),
      field("Asked for by", h.input({ type: "date", name: "due", required: true })),
      numbers("replications", "Runs behind the date", "60", "60 is quick, 300 is usual"),
    ],
    flags: (d) => plain(d, "ware", "quantity", "start", "due", "replications"),
  },
  master: {
    fields: (about) => [
      field(
        "Ware",
        choose(
          "ware",
          about.wares.map((w) => [w, w]),
        ),
      ),
      field(
        "Where is the fault born?",
        choose(
          "node",
          ["model", "block", "case", "mould", "punch"].map((n) => [n, n]),
          "case",
        ),
      ),
      field(
        "What is wrong?",
        choose(
          "kind",
          ["size", "hole", "waterway", "weak wall", "surface", "warp"].map((n) => [n, n]),
          "size",
        ),
      ),
      h.fieldset(
        { class: "ticks" },
        h.legend("Share inspected"),
        ...[
          ["white", "at white inspection"],
          ["fired", "after the fire"],
          ["test", "at the test"],
        ].map(([g, t]) => field(t, text("gate-" + g, g === "test" ? "2 % today" : "5 %"))),
      ),
      field("Such faults a year", text("yearly", "1", { inputmode: "decimal" })),
      numbers("replications", "Replications", "10"),
    ],
    flags: (d) => [
      ...plain(d, "ware", "node", "kind"),
      ...["white", "fired", "test"]
        .filter((g) => d.get("gate-" + g).trim())
        .map((g) => `--gate=${g} ${d.get("gate-" + g).trim()}`),
      ...plain(d, "yearly", "replications"),
    ],
  },
  tornado: {
    fields: () => [
      field("What is looked at?", choose("by", measures, "packed.total")),
      field("Move what nobody measured by", text("guesses", "20 %")),
      numbers("weeks", "Weeks of one replication"),
    ],
    flags: (d) => plain(d, "by", "guesses", "weeks"),
  },
};

function numbers(name, label, value = "", note = "") {
  return field(
    label,
    text(name, value, { inputmode: "numeric", pattern: "[0-9]*", placeholder: "as the file says" }),
    note,
  );
}

// plain are fields that are flags of the same name; an empty one is left out.
function plain(d, ...names) {
  return names.filter((n) => String(d.get(n) ?? "").trim()).map((n) => `--${n}=${d.get(n).trim()}`);
}

export async function question(view, rest) {
  const [command, ...name] = rest.split("/");
  const kind = asks.find(([c]) => c === command) ?? asks[0];
  const { files } = await ask("GET", "/api/files");
  const works = files.filter((f) => !f.question && !f.name.includes("/"));
  const base = works.find((f) => f.name === name.join("/")) ?? works[0];
  if (!base) {
    view.append(h.h1("Ask"), h.p("There is no works yet. ", h.a({ href: "#new" }, "Describe one.")));
    return;
  }
  const about = await ask("GET", "/api/about/" + base.name);
  const form = forms[kind[0]];
  const go = (c, b) => {
    location.hash = `ask/${c}/${b}`;
  };
  const line = h.code({ class: "line" });
  const preview = h.pre({ class: "preview", tabindex: "0", "aria-label": "The file" });
  const file = h.input({
    name: "file",
    value: "questions/" + plainName(kind[1] + " " + base.name.replace(/\.yaml$/, "")),
    "aria-label": "Keep it as",
  });
  const start = h.button({ type: "submit" }, "Ask");
  const sheet = h.form(
    { class: "ask" },
    h.div(
      { class: "fields" },
      field(
        "Question",
        h.select(
          { name: "command", onchange: (e) => go(e.target.value, base.name) },
          ...asks.map(([c, t]) => h.option({ value: c, selected: c === kind[0] }, t)),
        ),
      ),
      field(
        "Works",
        h.select(
          { name: "base", onchange: (e) => go(kind[0], e.target.value) },
          ...works.map((f) =>
            h.option({ value: f.name, selected: f === base }, f.title ? `${f.title} (${f.name})` : f.name),
          ),
        ),
      ),
    ),
    h.div({ class: "fields" }, ...form.fields(about)),
    h.p({ class: "actions" }, start, h.span("The same from the terminal:")),
    line,
    form.question
      ? h.details(
          { open: true },
          h.summary("The question that this writes"),
          field("Keep it as", file),
          preview,
        )
      : null,
  );
  view.append(h.h1(kind[1]), h.p(kind[2]), sheet);

  let written = "";
  const request = () =>
    form.question
      ? { command: kind[0], files: [file.value], flags: [] }
      : { command: kind[0], files: [base.name], flags: form.flags(new FormData(sheet)) };
  const write = async () => {
    const r = request();
    line.textContent = [
      "potbank",
      r.command,
      ...r.files,
      ...r.flags.map((f) => (/[ %]/.test(f) ? `'${f}'` : f)),
    ].join(" ");
    if (!form.question) return;
    const made = await ask("POST", "/api/question", {
      ask: kind[0],
      base: base.name,
      title: `${kind[1]} ${about.title}`,
      ...form.question(new FormData(sheet)),
    });
    written = made.text;
    preview.textContent = written || made.wrong;
    start.disabled = !written;
  };
  sheet.addEventListener("input", () => write().catch((e) => notice(e.message)));
  sheet.addEventListener("submit", async (e) => {
    e.preventDefault();
    start.disabled = true;
    try {
      const r = request();
      if (written) r.files = [await put(file.value, written)];
      await begin(r);
    } catch (err) {
      notice(err.message);
      start.disabled = false;
    }
  });
  await write();
}
