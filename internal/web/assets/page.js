// The views and the way between them.

import { notice } from "./api.js";
import { works } from "./works.js";
import { runs } from "./runs.js";
import { floor } from "./floor.js";

const views = { works, runs, floor };
let leave = () => {};

async function show() {
  const [name, ...rest] = decodeURIComponent(location.hash.slice(1) || "works").split("/");
  const view = document.getElementById("view");
  leave();
  notice("");
  for (const a of document.querySelectorAll("nav a")) {
    if (a.hash === "#" + name) a.setAttribute("aria-current", "page");
    else a.removeAttribute("aria-current");
  }
  view.replaceChildren();
  try {
    leave = (await (views[name] ?? works)(view, rest.join("/"))) ?? (() => {});
  } catch (e) {
    notice(e.message);
  }
}

addEventListener("hashchange", show);
show();
