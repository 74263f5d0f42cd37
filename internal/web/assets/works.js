// Works and questions: choose one, edit it with its faults shown as one types,
// and see the estimate by hand.

import { ask, begin, h, notice, number } from "./api.js";

export async function works(view, name) {
  const { files } = await ask("GET", "/api/files");
  const list = h.ul({ class: "files" });
  for (const f of files) {
    list.append(
      h.li(
        h.a(
          { href: "#works/" + encodeURIComponent(f.name), "aria-current": f.name === name ? "true" : null },
          h.b(f.title || f.name),
          h.span((f.question ? "question: " : "") + f.name),
        ),
      ),
    );
  }
  const desk = h.section({ class: "desk" });
  view.append(
    h.div(
      { class: "works" },
      h.nav(
        { class: "shelf", "aria-label": "Works and questions" },
        list,
        h.p(h.a({ href: "#new" }, "Describe my own works")),
      ),
      desk,
    ),
  );
  if (!name) {
    desk.append(
      h.h1("Choose a works or a question"),
      h.p(
        "A works is a scenario: what the departments are and how they work. A question names a works, what might be done to it, and what to judge by.",
      ),
    );
    return;
  }
  return edit(desk, await ask("GET", "/api/files/" + name));
}

// edit shows one file on the desk.
function edit(desk, file) {
  const text = h.textarea({
    id: "text",
    spellcheck: "false",
    autocapitalize: "off",
    wrap: "off",
    "aria-label": "Text of " + file.name,
    "aria-describedby": "faults",
  });
  text.value = file.text;
  const lines = h.pre({ class: "lines", "aria-hidden": "true" });
  const faults = h.ol({ class: "faults", id: "faults" });
  const sum = h.div({ class: "sum" });
  const saveButton = h.button({ type: "button", disabled: true }, "Save");
  const verdict = h.p({ class: "verdict", role: "status" });
  desk.append(
    h.h1(file.title || file.name, " ", h.small(file.name)),
    h.div(
      { class: "columns" },
      h.div(
        { class: "paper" },
        h.div({ class: "sheet" }, lines, text),
        h.p({ class: "actions" }, saveButton, verdict),
        faults,
      ),
      h.div(
        { class: "beside" },
        next(file, () => text.value === file.text),
        sum,
      ),
    ),
  );

  const drawLines = (bad) => {
    const rows = [];
    for (let i = 1; i <= text.value.split("\n").length; i++)
      rows.push(h.span({ class: bad.get(i) ?? "" }, i + "\n"));
    lines.replaceChildren(...rows);
    lines.scrollTop = text.scrollTop;
  };
  text.addEventListener("scroll", () => {
    lines.scrollTop = text.scrollTop;
  });

  let turn = 0;
  const judge = async () => {
    const mine = ++turn;
    const said = await ask("POST", "/api/check", { name: file.name, text: text.value });
    if (mine !== turn) return; // more was typed meanwhile
    const bad = new Map();
    for (const f of said.faults)
      if (f.line && f.file === file.name && bad.get(f.line) !== "error")
        bad.set(f.line, f.warning ? "warning" : "error");
    drawLines(bad);
    faults.replaceChildren(...said.faults.map((f) => faultRow(f, file.name, text)));
    const errors = said.faults.filter((f) => !f.warning).length;
    verdict.textContent = errors
      ? `${errors} fault${errors > 1 ? "s" : ""}: it cannot run yet.`
      : said.faults.length
        ? "It runs; see the warnings."
        : "No fault found.";
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
    if (e.key === "s" && (e.ctrlKey || e.metaKey)) {
      e.preventDefault();
      saveButton.click();
    }
  });
  saveButton.addEventListener("click", async () => {
    try {
      const stored = await ask("PUT", "/api/files/" + file.name, { text: text.value, mark: file.mark });
      Object.assign(file, stored, { text: text.value });
      saveButton.disabled = true;
      notice(file.name + " is saved.");
    } catch (e) {
      notice(e.message);
    }
  });
  const unsaved = (e) => {
    if (text.value !== file.text) e.preventDefault();
  };
  addEventListener("beforeunload", unsaved);
  drawLines(new Map());
  judge().catch((e) => notice(e.message));
  return () => {
    turn++;
    removeEventListener("beforeunload", unsaved);
  };
}

// faultRow is one fault; choosing it puts the cursor there.
function faultRow(f, name, text) {
  const here = f.file === name && f.line > 0;
  const go = () => {
    const before = text.value
      .split("\n")
      .slice(0, f.line - 1)
      .reduce((n, l) => n + l.length + 1, 0);
    text.focus();
    text.setSelectionRange(before + f.column - 1, before + f.column - 1);
    text.scrollTop = Math.max(0, (f.line - 6) * parseFloat(getComputedStyle(text).lineHeight));
  };
  const place = here
    ? h.button({ type: "button", class: "place", onclick: go }, `line ${f.line}, column ${f.column}`)
    : h.span({ class: "place" }, f.file);
  return h.li(
    { class: f.warning ? "warning" : "error" },
    place,
    h.span(f.what),
    f.hint ? h.em(f.hint) : null,
  );
}

// byHand is the estimate before any run.
function byHand(sum) {
  const rows = [...sum.departments]
    .sort((a, b) => b.load - a.load)
    .map((d) =>
      h.tr(
        h.th({ scope: "row" }, d.name),
        h.td({ class: "n" }, number(100 * d.load, 2) + " %"),
        h.td(
          h.meter({
            min: 0,
            max: 1.2,
            high: 0.98,
            optimum: 0.5,
            value: Math.min(1.2, d.load),
            "aria-label": `load of ${d.name}`,
          }),
        ),
      ),
    );
  const packed = sum.values.find((v) => v.name === "packed.total");
  return [
    h.h3("By hand, before any run"),
    packed
      ? h.p(
          h.b(number(packed.value)),
          ` good pieces a week by averages. Queues, windows, weekends and chance are not in it.`,
        )
      : null,
    h.p(sum.binding),
    h.table(
      h.thead(
        h.tr(
          h.th({ scope: "col" }, "Department"),
          h.th({ scope: "col", class: "n" }, "Load"),
          h.th({ scope: "col" }, h.span({ class: "hidden" }, "as a bar")),
        ),
      ),
      h.tbody(...rows),
    ),
    sum.unmeasured ? h.p(`${sum.unmeasured} values of it nobody has measured.`) : null,
  ].filter(Boolean);
}

// asked tells what a question is about.
function asked(sum) {
  return [
    h.h3(sum.title || "A question"),
    h.p(`Asks potbank ${sum.ask}.`),
    h.p("Options: " + sum.options.join(", ")),
    h.p("Futures: " + sum.futures.join(", ")),
  ];
}

// next is where one goes from a file: to its questions and its floor, or to the
// answer of a question.
function next(file, saved) {
  const box = h.div({ class: "next" });
  if (!file.question) {
    box.append(
      h.p(
        { class: "actions" },
        h.a({ class: "button", href: `#ask/compare/${file.name}` }, "Two shifts or three?"),
        h.a({ class: "button", href: `#ask/run/${file.name}` }, "How does it run?"),
        h.a({ href: `#ask/size/${file.name}` }, "More questions"),
        h.a({ href: "#floor/" + file.name }, "See its floor"),
      ),
    );
    return box;
  }
  const go = async () => {
    if (!saved()) return notice("Save the file first: an answer is about what is saved.");
    try {
      await begin({ command: file.ask, files: [file.name] });
    } catch (e) {
      notice(e.message);
    }
  };
  box.append(
    h.p({ class: "actions" }, h.button({ type: "button", onclick: go }, "Ask this question")),
    h.code({ class: "line" }, `potbank ${file.ask} ${file.name}`),
  );
  return box;
}
