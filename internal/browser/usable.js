// What keeps people from using a page, as a list of sentences: the checks that a
// machine can make of WCAG 2.2, levels A and AA. Contrast is computed from what
// is drawn (WCAG's relative luminance): 4.5 for text, 3 where it is large. Text
// within a drawing is held against what is behind the drawing, unless its class
// is "in": that stands on a dark fill.
(() => {
  const faults = [],
    shown = (e) => e.getClientRects().length > 0 && getComputedStyle(e).visibility !== "hidden";
  const all = (selector) => [...document.querySelectorAll(selector)];
  const short = (e) => e.outerHTML.replace(/\s+/g, " ").slice(0, 110);
  const named = (e) =>
    (
      e.getAttribute("aria-label") ||
      (e.getAttribute("aria-labelledby") || "")
        .split(" ")
        .map((id) => document.getElementById(id)?.textContent || "")
        .join("") ||
      ""
    ).trim();

  if (!document.documentElement.lang) faults.push("the page names no language");
  if (!document.title.trim()) faults.push("the page has no title");
  if (all("main").length !== 1) faults.push("the page has not one main region");
  const ids = new Set();
  for (const e of all("[id]")) ids.has(e.id) ? faults.push("two elements are called " + e.id) : ids.add(e.id);
  for (const e of all("[tabindex]"))
    if (e.tabIndex > 0) faults.push("a place in the order of tabs by number: " + short(e));

  for (const e of all("input:not([type=hidden]),select,textarea")) {
    if (!shown(e)) continue;
    const label =
      named(e) ||
      [...(e.labels || [])]
        .map((l) => l.textContent)
        .join("")
        .trim() ||
      (["submit", "button"].includes(e.type) && e.value);
    if (!label) faults.push("a field without a label: " + short(e));
  }
  for (const e of all("button,a[href],summary,[role=button],[role=tab]"))
    if (shown(e) && !named(e) && !e.textContent.trim() && !e.title)
      faults.push("a control without a name: " + short(e));
  for (const e of all("[aria-labelledby],[aria-describedby],[aria-controls]"))
    for (const attribute of ["aria-labelledby", "aria-describedby", "aria-controls"])
      for (const id of (e.getAttribute(attribute) || "").split(" ").filter(Boolean))
        if (!document.getElementById(id)) faults.push(attribute + " names nothing: " + short(e));

  let level = 0;
  for (const e of all("h1,h2,h3,h4,h5,h6").filter(shown)) {
    const n = +e.tagName[1];
    if (n > level + 1) faults.push("a heading skips a level: " + short(e));
    if (!e.textContent.trim()) faults.push("an empty heading: " + short(e));
    level = n;
  }
  if (all("h1").filter(shown).length !== 1) faults.push("the page has not one first heading");

  for (const e of all("svg")) {
    if (e.getAttribute("aria-hidden") === "true") continue;
    const title = e.querySelector(":scope > title"),
      told = e.querySelector(":scope > desc");
    if (
      e.getAttribute("role") !== "img" ||
      !(title && title.textContent.trim()) ||
      !(told && told.textContent.trim())
    )
      faults.push("a drawing without role, title or description: " + short(e));
  }
  for (const e of all("img")) if (!e.hasAttribute("alt")) faults.push("a picture without words: " + short(e));
  for (const e of all("table")) {
    if (!e.querySelector("th")) faults.push("a table without heads: " + short(e));
    for (const th of e.querySelectorAll("th"))
      if (!th.scope) faults.push("a head of a table without scope: " + short(th));
  }
  for (const e of all("*")) {
    const scrolls =
      shown(e) && /auto|scroll/.test(getComputedStyle(e).overflowX) && e.scrollWidth > e.clientWidth + 1;
    if (scrolls && e.tabIndex < 0 && !["TEXTAREA", "INPUT", "SELECT", "PRE"].includes(e.tagName))
      faults.push("what scrolls cannot be reached by keyboard: " + short(e));
  }
  if (document.documentElement.scrollWidth > document.documentElement.clientWidth + 1)
    faults.push(
      "the page is " +
        document.documentElement.scrollWidth +
        " wide on a screen of " +
        document.documentElement.clientWidth,
    );

  const parts = (text) => {
    const m = (text.match(/[\d.]+/g) || []).map(Number);
    return m.length < 3 ? null : { r: m[0], g: m[1], b: m[2], a: m[3] ?? 1 };
  };
  const over = (top, ground) => ({
    r: top.r * top.a + ground.r * (1 - top.a),
    g: top.g * top.a + ground.g * (1 - top.a),
    b: top.b * top.a + ground.b * (1 - top.a),
    a: 1,
  });
  const light = (c) => {
    const f = (v) => ((v /= 255) <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
    return 0.2126 * f(c.r) + 0.7152 * f(c.g) + 0.0722 * f(c.b);
  };
  const contrast = (a, b) => {
    const [x, y] = [light(a), light(b)].sort((p, q) => q - p);
    return (x + 0.05) / (y + 0.05);
  };
  const ground = (e) => {
    const layers = [];
    for (let at = e; at; at = at.parentElement) {
      const c = parts(getComputedStyle(at).backgroundColor);
      if (c && c.a > 0) {
        layers.push(c);
        if (c.a === 1) break;
      }
    }
    return layers.reverse().reduce((below, top) => over(top, below), { r: 255, g: 255, b: 255, a: 1 });
  };
  const seen = new Set();
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walker.nextNode()) {
    const e = walker.currentNode.parentElement;
    if (
      !walker.currentNode.textContent.trim() ||
      !shown(e) ||
      e.closest("[disabled],[aria-disabled=true],title,desc,script,style,option")
    )
      continue;
    const style = getComputedStyle(e),
      drawn = !!e.closest("svg");
    const ink = parts(drawn ? style.fill : style.color),
      below = drawn && e.classList.contains("in") ? { r: 18, g: 72, b: 107, a: 1 } : ground(e);
    if (!ink || !below) continue;
    const size = parseFloat(style.fontSize),
      large = size >= 24 || (size >= 18.66 && +style.fontWeight >= 700);
    const is = contrast(over(ink, below), below),
      needed = large ? 3 : 4.5,
      key = [style.color, style.fill, JSON.stringify(below), large].join();
    if (is < needed && !seen.has(key)) {
      seen.add(key);
      faults.push("contrast " + is.toFixed(2) + " of " + needed + ": " + short(e));
    }
  }
  return faults;
})();
