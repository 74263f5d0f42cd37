// The floor: one week of one replication to look at. The departments stand as
// the ware flows; what stands in them is known at every ten minutes.

import { ask, h, notice, number } from "./api.js";

const names = {
  casting: "Casting",
  finishing: "Finishing",
  dryers: "Dryers",
  white: "White inspection",
  glazing: "Glazing",
  buffer: "Before the kiln",
  kiln: "Kiln, first fire",
  sorting: "Sorting",
  refire: "Refire",
  test: "Test",
  packing: "Packing",
};
const sum = (list) => list.reduce((a, b) => a + b, 0);

export async function floor(view, name) {
  const { files } = await ask("GET", "/api/files");
  const works = files.filter((f) => !f.question && !f.name.includes("/"));
  if (!works.length) {
    view.append(h.h1("The floor"), h.p("There is no works yet."));
    return;
  }
  const base = works.find((f) => f.name === name) ?? works[0];
  const about = await ask("GET", "/api/about/" + base.name);
  const input = (label, key, value, hint) =>
    h.label(
      label,
      h.input({ name: key, value, inputmode: "numeric", pattern: "[0-9]*", placeholder: hint ?? "" }),
    );
  const choice = h.select(
    {
      name: "file",
      onchange: () => {
        location.hash = "floor/" + choice.value;
      },
    },
    ...works.map((f) => h.option({ value: f.name, selected: f === base }, f.title || f.name)),
  );
  const form = h.form(
    { class: "look" },
    h.label("Works", choice),
    input("Replication", "replication", "1"),
    input("Week", "week", "8"),
    input("Follow piece no.", "piece", "", "none"),
    h.fieldset(
      h.legend("Suspect mould or case, in red"),
      h.label("Ware", h.select({ name: "ware" }, ...about.wares.map((w) => h.option({ value: w }, w)))),
      input("Case no.", "case", "", "none"),
      input("Mould no.", "mould", "", "none"),
    ),
    h.button({ type: "submit" }, "Look"),
  );
  const stage = h.section({ class: "stage", "aria-label": "The week" });
  view.append(
    h.h1("The floor, as it was"),
    h.p({ class: "caveat" }, "One run of chance: to see how the works moves, and evidence of nothing."),
    form,
    stage,
  );
  let stop = () => {};
  const look = async (at) => {
    const d = new FormData(form);
    stop();
    notice("Running the weeks before it.");
    const numbers = Object.fromEntries(
      ["replication", "week", "piece", "case", "mould"].map((k) => [k, Number(d.get(k))]),
    );
    try {
      const week = await ask("POST", "/api/floor", { file: base.name, ware: d.get("ware"), ...numbers });
      notice("");
      stop = play(stage, week, numbers, at ?? 0, (piece, step) => {
        form.elements.piece.value = piece;
        look(step);
      });
    } catch (e) {
      notice(e.message);
    }
  };
  form.addEventListener("submit", (e) => {
    e.preventDefault();
    look();
  });
  await look();
  return () => stop();
}

// play shows a week on the stage, from a step on, and returns how to stop it.
// tell begins to follow a piece.
function play(stage, week, asked, from, tell) {
  const last = week.times.length - 1;
  const scrub = h.input({
    type: "range",
    min: 0,
    max: last,
    value: from,
    "aria-label": "hour of the week",
    "aria-describedby": "keys",
  });
  const clock = h.output({ class: "clock" });
  const toggle = h.button({ type: "button" }, "Play");
  const said = h.p({ role: "status", class: "said" });
  const counts = h.p({ class: "counts" });
  const rooms = week.sections.map((s, i) => room(week, s, i));
  const kinds = [
    ["starved", "Next starved kiln"],
    ["window", "Next missed window"],
    ["lost", "Next heavy loss"],
  ];
  const jumps = kinds.map(([kind, title]) => {
    const n = week.moments.filter((m) => m.kind === kind).length;
    return h.button(
      {
        type: "button",
        class: "quiet",
        disabled: n === 0,
        "data-kind": kind,
        onclick: () => jump((m) => m.kind === kind),
      },
      `${title} (${n})`,
    );
  });
  stage.replaceChildren(
    h.p({ class: "actions" }, toggle, clock, ...jumps),
    scrub,
    h.p(
      { id: "keys", class: "keys" },
      "Keys: space plays and pauses, left and right go ten minutes, with shift an hour, N and P to the next and last moment.",
    ),
    said,
    h.ol({ class: "floor" }, ...rooms.map((r) => r.box)),
    legend(week, asked),
    counts,
    moments(week, (m) => go(m)),
    story(week, asked),
  );

  const show = () => {
    const t = Number(scrub.value);
    clock.textContent = week.times[t];
    scrub.setAttribute("aria-valuetext", week.times[t]);
    const event = week.story.findLast((e) => e.step <= t);
    rooms.forEach((r) => r.show(t, event && !["packed", "lost"].includes(event.event) ? event.section : ""));
    const fires = week.kilns.map((k, i) => `${k} ${week.fire[t][i]}`).join(", ");
    counts.textContent =
      `Since the week began: ${number(week.packed[t])} packed, ${number(week.lost[t])} lost. In the fire: ${fires}.` +
      (week.suspect
        ? ` Suspect pieces in the works: ${number(sum(week.suspect[t]))}; packed so far: ${number(week.escaped[t])}.`
        : "");
    for (const row of stage.querySelectorAll(".story tr[data-step]"))
      row.classList.toggle("past", Number(row.dataset.step) <= t);
  };
  let timer = 0;
  const halt = () => {
    clearInterval(timer);
    timer = 0;
    toggle.textContent = "Play";
  };
  const begin = () => {
    toggle.textContent = "Pause";
    timer = setInterval(() => {
      if (Number(scrub.value) >= last) return halt();
      scrub.value = Number(scrub.value) + 1;
      show();
    }, 70);
  };
  const go = (m) => {
    halt();
    scrub.value = m.step;
    said.replaceChildren(
      `${week.times[m.step]}: ${m.text}. `,
      m.piece
        ? h.button(
            { type: "button", class: "quiet", onclick: () => tell(m.piece, m.step) },
            `Follow piece ${m.piece}`,
          )
        : "",
    );
    show();
  };
  const jump = (fits) => {
    const t = Number(scrub.value);
    const m = week.moments.find((x) => x.step > t && fits(x)) ?? week.moments.find(fits);
    if (m) go(m);
    else said.textContent = "Nothing of the kind in this week.";
  };
  const back = () => {
    const m = week.moments.findLast((x) => x.step < Number(scrub.value));
    if (m) go(m);
  };
  const keys = (e) => {
    if (
      e.altKey ||
      e.ctrlKey ||
      e.metaKey ||
      (e.target !== scrub && /^(INPUT|SELECT|TEXTAREA|BUTTON|SUMMARY|A)$/.test(e.target.tagName))
    )
      return;
    const step = e.shiftKey ? 6 : 1;
    const act = {
      " ": () => (timer ? halt() : begin()),
      ArrowLeft: () => {
        scrub.value = Number(scrub.value) - step;
      },
      ArrowRight: () => {
        scrub.value = Number(scrub.value) + step;
      },
      n: () => jump(() => true),
      p: back,
    }[e.key.length === 1 ? e.key.toLowerCase() : e.key];
    if (!act) return;
    e.preventDefault();
    act();
    show();
  };
  toggle.addEventListener("click", () => (timer ? halt() : begin()));
  scrub.addEventListener("input", show);
  addEventListener("keydown", keys);
  show();
  return () => {
    halt();
    removeEventListener("keydown", keys);
  };
}

// room is one department: its stock by ware as a bar against its fullest of the
// week, what left it in the ten minutes, and suspects in red.
function room(week, name, s) {
  const total = h.b(),
    moved = h.small();
  const bars = week.wares.map((_, w) => h.span({ class: "ware ware" + (w % 6) }));
  const bad = h.span({ class: "suspected" });
  const box = h.li(
    { class: "room", "data-section": name },
    h.h2(names[name] ?? name),
    total,
    h.span({ class: "bar", "aria-hidden": "true" }, ...bars),
    h.span({ class: "bar suspects", "aria-hidden": "true" }, bad),
    moved,
  );
  const most = Math.max(1, week.most[s]);
  const show = (t, here) => {
    const stock = week.stock[t][s];
    total.textContent = number(sum(stock));
    bars.forEach((b, w) => {
      b.style.width = (100 * stock[w]) / most + "%";
    });
    bad.style.width = week.suspect ? (100 * week.suspect[t][s]) / most + "%" : "0";
    moved.textContent =
      (week.moved[t][s] ? `${week.moved[t][s]} on` : "still") +
      (week.suspect && week.suspect[t][s] ? `, ${week.suspect[t][s]} suspect` : "");
    box.classList.toggle("empty", sum(stock) === 0);
    box.classList.toggle("here", here === name);
  };
  return { box, show };
}

function legend(week, asked) {
  return h.ul(
    { class: "legend" },
    ...week.wares.map((w, i) => h.li(h.span({ class: "ware ware" + (i % 6) }), w)),
    asked.case || asked.mould ? h.li(h.span({ class: "suspected" }), "suspect") : null,
    h.li("A full bar is the fullest of the week."),
  );
}

function moments(week, go) {
  if (!week.moments.length) return h.p("Nothing stands out in this week.");
  return h.details(
    { class: "moments" },
    h.summary(`${week.moments.length} moments of the week`),
    h.ul(
      ...week.moments.map((m) =>
        h.li(
          h.button({ type: "button", class: "quiet", onclick: () => go(m) }, week.times[m.step]),
          " " + m.text,
        ),
      ),
    ),
  );
}

// story tells what happened to the piece followed.
function story(week, asked) {
  if (!asked.piece)
    return h.p(
      "Pieces are numbered as their moulds are filled. Give a number to follow one, or follow one that a moment names.",
    );
  if (!week.story.length) return h.p(`Piece ${asked.piece} is not filled by the end of this week.`);
  return h.table(
    { class: "story" },
    h.caption(`Piece ${asked.piece}`),
    h.thead(h.tr(...["When", "Where", "What", "By"].map((head) => h.th({ scope: "col" }, head)))),
    h.tbody(
      ...week.story.map((e) =>
        h.tr(
          { "data-step": e.step },
          h.td(e.at),
          h.td(names[e.section] ?? e.section),
          h.td(e.event),
          h.td([e.where, e.detail].filter(Boolean).join(", ")),
        ),
      ),
    ),
  );
}
