// Where one begins: a works, then a question about it.

import { ask, begin, h, notice } from "./api.js";

// asks are the questions in the words of who asks them, each with its command.
export const asks = [
  ["run", "How does the works run?", "Output, stocks, lead times, losses, cost, and which department binds."],
  [
    "compare",
    "Two shifts or three?",
    "One, two or three shifts for the crews you choose: output, cost of a good piece, and what would turn the answer.",
  ],
  [
    "size",
    "Which kiln for more output?",
    "A longer tunnel or more shuttles for a demand, with capital, fuel and scrap.",
  ],
  [
    "promise",
    "When will an order be done?",
    "A date with its own error, why it is wide, and which other orders slip.",
  ],
  ["master", "What does a bad case cost?", "By where it is caught, and which check is worth its price."],
  ["tornado", "What does the answer hang on?", "Which of the values nobody knows exactly matter most."],
];

export async function start(view) {
  const { files } = await ask("GET", "/api/files");
  const works = files.filter((f) => !f.question && !f.name.includes("/"));
  const chosen = sessionStorage.getItem("potbank-works") ?? "";
  const select = h.select(
    { id: "works", onchange: () => sessionStorage.setItem("potbank-works", select.value) },
    ...works.map((f) =>
      h.option({ value: f.name, selected: f.name === chosen }, f.title ? `${f.title} (${f.name})` : f.name),
    ),
  );
  const cards = asks.map(([command, title, says]) =>
    h.li(
      h.button(
        {
          type: "button",
          class: "card",
          disabled: !works.length,
          onclick: () => {
            location.hash = `ask/${command}/${select.value}`;
          },
        },
        h.b(title),
        h.span(says),
      ),
    ),
  );
  view.append(
    h.h1("What do you want to know about your works?"),
    h.section(
      { class: "step" },
      h.h2("1. Which works?"),
      works.length
        ? h.p(
            { class: "choose" },
            h.label({ for: "works" }, "A works of this folder"),
            select,
            h.button(
              {
                type: "button",
                class: "quiet",
                onclick: () => {
                  location.hash = "works/" + select.value;
                },
              },
              "Look at it",
            ),
          )
        : h.p("This folder holds no works yet."),
      h.p(
        h.a({ href: "#new", class: "button" }, "Describe my own works"),
        " A dozen answers make one that runs; what you do not know is filled in and marked as a guess.",
      ),
    ),
    h.section({ class: "step" }, h.h2("2. Which question?"), h.ul({ class: "cards" }, ...cards)),
    examples(files.filter((f) => f.question)),
  );
}

// examples are the questions of the folder, ready to be asked.
function examples(questions) {
  if (!questions.length) return "";
  return h.section(
    { class: "step" },
    h.h2("Or ask one that is written already"),
    h.ul(
      { class: "rows" },
      ...questions.map((f) =>
        h.li(
          {},
          h.span(h.b(f.title || f.name), " ", h.small(f.name)),
          h.span(
            { class: "actions" },
            h.button(
              { type: "button", onclick: () => once(f) },
              "Ask",
              h.span({ class: "hidden" }, " " + (f.title || f.name)),
            ),
            h.a(
              { href: "#works/" + f.name },
              "Read it",
              h.span({ class: "hidden" }, ": " + (f.title || f.name)),
            ),
          ),
        ),
      ),
    ),
  );
}

async function once(f) {
  try {
    await begin({ command: f.ask, files: [f.name] });
  } catch (e) {
    notice(e.message);
  }
}
