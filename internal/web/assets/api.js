// Talks to the server. The token comes in the fragment of the address that the
// server printed; it stays in this tab.

const key = "potbank-token";
const given = /^#([0-9a-f]{32})(?:\/(.*))?$/.exec(location.hash);
if (given) {
  sessionStorage.setItem(key, given[1]);
  history.replaceState(null, "", "#" + (given[2] || "works"));
}

function headers(more) {
  return { "X-Potbank-Token": sessionStorage.getItem(key) ?? "", ...more };
}

// ask sends a request and gives its JSON. What the server refuses is thrown
// with its own words.
export async function ask(method, path, body) {
  const sent = { method, headers: headers(body ? { "Content-Type": "application/json" } : {}) };
  if (body) sent.body = JSON.stringify(body);
  let answer;
  try {
    answer = await fetch(path, sent);
  } catch {
    throw new Error("potbank does not answer; was it stopped in the terminal?");
  }
  if (answer.status === 401) throw new Error("this tab has lost its key; open the address that the terminal shows");
  const text = await answer.text();
  let value = {};
  try { value = text ? JSON.parse(text) : {}; } catch { /* said below */ }
  if (!answer.ok) throw new Error(value.error ?? `refused (${answer.status})`);
  return value;
}

// follow calls back with every state of a run until it has ended. It reads the
// event stream by hand, as EventSource cannot carry the token.
export async function follow(id, each, signal) {
  const answer = await fetch(`/api/runs/${id}/events`, { headers: headers({}), signal });
  const reader = answer.body.pipeThrough(new TextDecoderStream()).getReader();
  let rest = "";
  for (;;) {
    const { value, done } = await reader.read();
    if (done) return;
    rest += value;
    const parts = rest.split("\n\n");
    rest = parts.pop();
    for (const p of parts) if (p.startsWith("data: ")) each(JSON.parse(p.slice(6)));
  }
}

// make builds an element: make("td", {class: "n"}, "text", child). Text is only
// ever text: nothing that a file or a run says can become markup.
export function make(tag, attributes = {}, ...children) {
  const e = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (name.startsWith("on")) e.addEventListener(name.slice(2), value);
    else if (value === true) e.setAttribute(name, "");
    else if (value !== false && value !== null && value !== undefined) e.setAttribute(name, value);
  }
  e.append(...children.filter((c) => c !== null && c !== undefined));
  return e;
}

// notice shows a line at the top.
export function notice(text) {
  document.getElementById("notice").textContent = text;
}

// save offers a text as a file.
export function save(name, type, text) {
  const address = URL.createObjectURL(new Blob([text], { type }));
  const link = make("a", { href: address, download: name });
  document.body.append(link);
  link.click();
  link.remove();
  URL.revokeObjectURL(address);
}

// number prints a figure with its thousands apart.
export function number(x, digits = 3) {
  if (x === null || x === undefined) return "-";
  const places = Math.abs(x) >= 100 || Number.isInteger(x) ? 0 : Math.max(0, digits - 1 - Math.floor(Math.log10(Math.abs(x) || 1)));
  return x.toLocaleString("en", { minimumFractionDigits: places, maximumFractionDigits: places });
}
