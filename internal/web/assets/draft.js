// A works from a dozen answers. What is not answered is a guess and is marked as
// one in the file.

import { ask, h, notice, plainName, put } from "./api.js";

const kinds = {
  "bench-shuttle": "Plaster benches, a drying floor, shuttle kilns",
  "bench-tunnel": "Plaster benches, chamber dryers, a tunnel kiln and a refire shuttle",
  "pressure-tunnel": "Pressure casting, chamber dryers, a tunnel kiln and a refire shuttle",
  fireclay: "Fine fireclay on benches, slow drying, shuttle kilns",
};

export async function draft(view, kind) {
  kind = kind in kinds ? kind : "bench-tunnel";
  const { questions } = await ask("GET", "/api/draft/" + kind);
  const answers = h.div({ class: "answers" });
  const said = h.p({ role: "status", class: "said" });
  const preview = h.pre({ class: "preview", tabindex: "0", "aria-label": "The file" });
  const store = h.button({ type: "submit" }, "Keep it and go on");
  const choice = h.fieldset(
    { class: "kinds" },
    h.legend("Which kind of works is it?"),
    ...Object.entries(kinds).map(([k, text]) =>
      h.label(
        h.input({
          type: "radio",
          name: "kind",
          value: k,
          checked: k === kind,
          onchange: () => {
            location.hash = "new/" + k;
          },
        }),
        text,
      ),
    ),
  );
  for (const q of questions) {
    answers.append(
      h.div(
        { class: "answer" },
        h.label({ for: "a-" + q.key }, q.asks),
        h.span(
          { class: "field" },
          h.input({
            id: "a-" + q.key,
            name: q.key,
            placeholder: q.usual,
            autocomplete: "off",
            "aria-describedby": "e-" + q.key,
          }),
          h.span(q.unit),
        ),
        h.small({ id: "e-" + q.key }, guess(q)),
      ),
    );
  }
  const form = h.form(
    choice,
    answers,
    h.p({ class: "actions" }, store, said),
    h.details(h.summary("The file that this writes"), preview),
  );
  view.append(
    h.h1("Describe a works"),
    h.p(
      "Answer what you know. An empty answer stays a guess from trade practice, is marked so in the file, and is listed under every answer until somebody measures it.",
    ),
    form,
  );

  let text = "",
    name = "";
  const write = async () => {
    const data = Object.fromEntries(new FormData(form));
    name = plainName(data.name || "my works");
    const made = await ask("POST", "/api/draft", {
      file: name,
      kind,
      answers: Object.fromEntries(questions.map((q) => [q.key, data[q.key].trim()])),
    });
    for (const q of questions) {
      const note = document.getElementById("e-" + q.key),
        field = form.elements[q.key];
      const wrong = made.wrong[q.key];
      field.setAttribute("aria-invalid", wrong ? "true" : "false");
      note.textContent = wrong ?? (field.value.trim() ? "your figure" : guess(q));
      note.className = wrong ? "wrong" : field.value.trim() ? "known" : "";
    }
    text = made.text ?? "";
    store.disabled = !text;
    preview.textContent = text;
    said.textContent = text
      ? `${text.split("from guess").length - 2} values are marked as guesses.`
      : "Mend the marked answers first."; // the header of the file speaks of the mark once
  };
  form.addEventListener("input", (e) => {
    if (e.target.name !== "kind") write().catch((err) => notice(err.message));
  });
  form.addEventListener("submit", async (e) => {
    e.preventDefault();
    try {
      await write();
      if (!text) return;
      name = await put(name, text);
      sessionStorage.setItem("potbank-works", name);
      location.hash = "works/" + name;
    } catch (err) {
      notice(err.message);
    }
  });
  await write();
}

function guess(q) {
  return `guess: ${q.usual} ${q.unit}`.trim();
}
