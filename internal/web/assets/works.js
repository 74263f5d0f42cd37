// Works and questions: choose one, edit it with its faults shown as one types,
// see the estimate by hand, and ask.

import { ask, make, notice, number } from "./api.js";

export async function works(view, name) {
  const { files } = await ask("GET", "/api/files");
  const list = make("ul", { class: "files" });
  for (const f of files) {
    list.append(make("li", {}, make("a", { href: "#works/" + encodeURIComponent(f.name), "aria-current": f.name === name ? "true" : null },
      make("b", {}, f.name), make("span", {}, (f.question ? "question: " : "") + f.title))));
  }
  const desk = make("section", { class: "desk" });
  view.append(make("div", { class: "works" }, make("section", { class: "shelf", "aria-label": "Files" }, make("h2", {}, "Works and questions"), list), desk));
  if (!name) {
    desk.append(make("h2", {}, "Choose a works or a question"), make("p", {}, "A works is a scenario: what the departments are and how they work. A question names a works, what might be done to it, and what to judge by."));
    return;
  }
  return edit(desk, await ask("GET", "/api/files/" + name), files);
}

// edit shows one file on the desk.
function edit(desk, file, files) {
  const text = make("textarea", { id: "text", spellcheck: "false", autocapitalize: "off", wrap: "off", "aria-label": "Text of " + file.name, "aria-describedby": "faults" });
  text.value = file.text;
  const lines = make("pre", { class: "lines", "aria-hidden": "true" });
  const faults = make("ol", { class: "faults", id: "faults" });
  const sum = make("div", { class: "sum" });
  const saveButton = make("button", { type: "button", disabled: true }, "Save");
  const verdict = make("p", { class: "verdict", role: "status" });
  desk.append(
    make("h2", {}, file.title || file.name, file.question ? null : make("a", { class: "to-floor", href: "#floor/" + encodeURIComponent(file.name) }, "see its floor")),
    make("div", { class: "columns" },
      make("div", { class: "paper" }, make("div", { class: "sheet" }, lines, text), make("p", { class: "actions" }, saveButton, verdict), faults),
      make("div", { class: "beside" }, askForm(file, files, () => text.value === file.text), sum)));

  const drawLines = (bad) => {
    const rows = [];
    for (let i = 1; i <= text.value.split("\n").length; i++) rows.push(make("span", { class: bad.get(i) ?? "" }, i + "\n"));
    lines.replaceChildren(...rows);
    lines.scrollTop = text.scrollTop;
  };
  text.addEventListener("scroll", () => { lines.scrollTop = text.scrollTop; });

  let turn = 0;
  const judge = async () => {
    const mine = ++turn;
    const said = await ask("POST", "/api/check", { name: file.name, text: text.value });
    if (mine !== turn) return; // more was typed meanwhile
    const bad = new Map();
    for (const f of said.faults) if (f.line && f.file === file.name && bad.get(f.line) !== "error") bad.set(f.line, f.warning ? "warning" : "error");
    drawLines(bad);
    faults.replaceChildren(...said.faults.map((f) => faultRow(f, file.name, text)));
    const errors = said.faults.filter((f) => !f.warning).length;
    verdict.textContent = errors ? `${errors} fault${errors > 1 ? "s" : ""}: it cannot run yet.` : said.faults.length ? "It runs; see the warnings." : "No fault found.";
    verdict.className = "verdict " + (errors ? "bad" : "good");
    sum.replaceChildren(...(said.sum ? (said.sum.departments ? byHand(said.sum) : asked(said.sum)) : []));
  };
  let timer;
  text.addEventListener("input", () => {
    saveButton.disabled = text.value === file.text;
    clearTimeout(timer);
    timer = setTimeout(() => judge().catch((e) => notice(e.message)), 200);
  });
  text.addEventListener("keydown", (e) => {
    if (e.key === "s" && (e.ctrlKey || e.metaKey)) { e.preventDefault(); saveButton.click(); }
  });
  saveButton.addEventListener("click", async () => {
    try {
      const stored = await ask("PUT", "/api/files/" + file.name, { text: text.value, mark: file.mark });
      Object.assign(file, stored, { text: text.value });
      saveButton.disabled = true;
      notice(file.name + " is saved.");
    } catch (e) { notice(e.message); }
  });
  const unsaved = (e) => { if (text.value !== file.text) e.preventDefault(); };
  addEventListener("beforeunload", unsaved);
  drawLines(new Map());
  judge().catch((e) => notice(e.message));
  return () => { turn++; removeEventListener("beforeunload", unsaved); };
}

// faultRow is one fault; choosing it puts the cursor there.
function faultRow(f, name, text) {
  const here = f.file === name && f.line > 0;
  const go = () => {
    const before = text.value.split("\n").slice(0, f.line - 1).reduce((n, l) => n + l.length + 1, 0);
    text.focus();
    text.setSelectionRange(before + f.column - 1, before + f.column - 1);
    text.scrollTop = Math.max(0, (f.line - 6) * parseFloat(getComputedStyle(text).lineHeight));
  };
  const place = here ? make("button", { type: "button", class: "place", onclick: go }, `line ${f.line}, column ${f.column}`) : make("span", { class: "place" }, f.file);
  return make("li", { class: f.warning ? "warning" : "error" }, place, make("span", {}, f.what), f.hint ? make("em", {}, f.hint) : null);
}

// byHand is the estimate before any run.
function byHand(sum) {
  const rows = [...sum.departments].sort((a, b) => b.load - a.load).map((d) =>
    make("tr", {}, make("th", { scope: "row" }, d.name), make("td", { class: "n" }, number(100 * d.load, 2) + " %"),
      make("td", {}, make("meter", { min: 0, max: 1.2, high: 0.98, optimum: 0.5, value: Math.min(1.2, d.load), "aria-label": `load of ${d.name}` }))));
  const packed = sum.values.find((v) => v.name === "packed.total");
  return [make("h3", {}, "By hand, before any run"),
    packed ? make("p", {}, make("b", {}, number(packed.value)), ` good pieces a week by averages. Queues, windows, weekends and chance are not in it.`) : null,
    make("p", {}, sum.binding),
    make("table", {}, make("thead", {}, make("tr", {}, make("th", { scope: "col" }, "Department"), make("th", { scope: "col", class: "n" }, "Load"), make("th", {}, ""))), make("tbody", {}, ...rows)),
    sum.unmeasured ? make("p", {}, `${sum.unmeasured} values of it nobody has measured.`) : null].filter(Boolean);
}

// asked tells what a question is about.
function asked(sum) {
  return [make("h3", {}, sum.title || "A question"), make("p", {}, `Asks potbank ${sum.ask}.`),
    make("p", {}, "Options: " + sum.options.join(", ")), make("p", {}, "Futures: " + sum.futures.join(", "))];
}

// askForm is how a run is started.
function askForm(file, files, saved) {
  const field = (label, name, holder, pattern) => make("label", {}, label, make("input", { name, placeholder: holder, pattern, inputmode: pattern === "[0-9]*" ? "numeric" : null }));
  const kind = file.question ? null : make("label", {}, "What do you want to know?", make("select", { name: "command" },
    make("option", { value: "run" }, "How does it run?"), make("option", { value: "compare" }, "Which of several is better?"),
    make("option", { value: "tornado" }, "What does the answer hang on?"), make("option", { value: "promise" }, "When will an order be done?")));
  const others = make("fieldset", { class: "others", hidden: true }, make("legend", {}, "Compare with"),
    ...files.filter((f) => f.name !== file.name && !f.question).map((f) => make("label", {}, make("input", { type: "checkbox", name: "other", value: f.name }), f.name)));
  const line = make("code", { class: "line" });
  const start = make("button", { type: "submit" }, "Ask");
  const form = make("form", { class: "ask" }, make("h3", {}, "Ask"), kind, others,
    make("div", { class: "fields" }, field("Weeks", "weeks", "as the file says", "[0-9]*"), field("Replications", "replications", "as the file says", "[0-9]*"), field("Seed", "seed", "as the file says", "[0-9]*")),
    make("label", {}, "Further flags, one a line", make("textarea", { name: "flags", rows: "2", placeholder: "--by=cost.per_good" })), line, start);

  const request = () => {
    const data = new FormData(form);
    const command = file.question ? /^ask:\s*(\w+)/m.exec(file.text)?.[1] ?? "compare" : data.get("command");
    const chosen = command === "compare" && !file.question ? data.getAll("other") : [];
    const flags = ["weeks", "replications", "seed"].filter((n) => data.get(n)).map((n) => `--${n}=${data.get(n)}`);
    flags.push(...data.get("flags").split("\n").map((f) => f.trim()).filter(Boolean));
    return { command, files: [file.name, ...chosen], flags };
  };
  const preview = () => {
    const r = request();
    others.hidden = r.command !== "compare" || file.question;
    line.textContent = ["potbank", r.command, ...r.files, ...r.flags].join(" ");
  };
  form.addEventListener("input", preview);
  form.addEventListener("submit", async (e) => {
    e.preventDefault();
    if (!saved()) return notice("Save the file first: a run reads what is saved.");
    start.disabled = true;
    try {
      const run = await ask("POST", "/api/runs", { ...request(), key: crypto.randomUUID() });
      location.hash = "runs/" + run.id;
    } catch (err) { notice(err.message); }
    start.disabled = false;
  });
  preview();
  return form;
}
