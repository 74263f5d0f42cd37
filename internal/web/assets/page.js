// The views and the way between them.

import { notice } from "./api.js";
import { start } from "./start.js";
import { draft } from "./draft.js";
import { works } from "./works.js";
import { question } from "./ask.js";
import { runs } from "./runs.js";
import { floor } from "./floor.js";

const views = { start, new: draft, works, ask: question, runs, floor };
const titles = {
  start: "Start",
  new: "A new works",
  works: "Works",
  ask: "Ask",
  runs: "Answers",
  floor: "Floor",
};
let leave = () => {};

async function show() {
  const [given, ...rest] = decodeURIComponent(location.hash.slice(1) || "start").split("/");
  if (given === "view") return document.getElementById("view").focus(); // the link past the header
  const name = given in views ? given : "start";
  const view = document.getElementById("view");
  leave();
  leave = () => {};
  notice("");
  document.title = titles[name] + " - potbank";
  for (const a of document.querySelectorAll("header nav a")) {
    if (a.hash === "#" + name) a.setAttribute("aria-current", "page");
    else a.removeAttribute("aria-current");
  }
  view.replaceChildren();
  view.dataset.view = "";
  try {
    leave = (await views[name](view, rest.join("/"))) ?? (() => {});
  } catch (e) {
    notice(e.message);
  }
  view.dataset.view = name; // it stands
}

addEventListener("hashchange", show);
show();
