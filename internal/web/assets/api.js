// Talks to the server. The token comes in the fragment of the address that the
// server printed; it stays in this tab.

const key = "potbank-token";
const given = /^#([0-9a-f]{32})(?:\/(.*))?$/.exec(location.hash);
if (given) {
  sessionStorage.setItem(key, given[1]);
  history.replaceState(null, "", "#" + (given[2] || "start"));
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
  if (answer.status === 401)
    throw new Error("this tab has lost its key; open the address that the terminal shows");
  const text = await answer.text();
  let value = {};
  try {
    value = text ? JSON.parse(text) : {};
  } catch {
    /* said below */
  }
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

// h builds elements: h.td({class: "n"}, "text", child), or h.td("text"). Text is
// only ever text: nothing that a file or a run says can become markup.
export const h = new Proxy(
  {},
  {
    get:
      (_, tag) =>
      (...parts) =>
        element(tag, ...(bare(parts[0]) ? parts : [{}, ...parts])),
  },
);

// bare tells whether something is an object of attributes.
const bare = (part) =>
  part !== null && typeof part === "object" && Object.getPrototypeOf(part) === Object.prototype;

function element(tag, attributes, ...children) {
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

// keep fetches a file of the server and offers it to be saved.
export async function keep(path, name) {
  const answer = await fetch(path, { headers: headers({}) });
  if (!answer.ok) throw new Error(`${name} is not to be had (${answer.status})`);
  const address = URL.createObjectURL(await answer.blob());
  const link = h.a({ href: address, download: name });
  document.body.append(link);
  link.click();
  link.remove();
  URL.revokeObjectURL(address);
}

// put stores a new file under a name that is free: works.yaml, works-2.yaml.
export async function put(name, text) {
  const { files } = await ask("GET", "/api/files");
  const taken = new Set(files.map((f) => f.name));
  let free = name;
  for (let i = 2; taken.has(free); i++) free = name.replace(/\.yaml$/, `-${i}.yaml`);
  await ask("PUT", "/api/files/" + free, { text, mark: "" });
  return free;
}

// begin queues a command line and goes to where it is followed.
export async function begin(request) {
  const run = await ask("POST", "/api/runs", {
    command: request.command,
    files: request.files,
    flags: request.flags ?? [],
    key: crypto.randomUUID(),
  });
  location.hash = "runs/" + run.id;
}

// plainName makes the name of a file from a title.
export function plainName(title) {
  return (
    (title
      .toLowerCase()
      .replace(/[^a-z0-9]+/g, "-")
      .replace(/^-+|-+$/g, "")
      .slice(0, 60) || "question") + ".yaml"
  );
}

// number prints a figure with its thousands apart.
export function number(x, digits = 3) {
  if (x === null || x === undefined) return "-";
  const places =
    Math.abs(x) >= 100 || Number.isInteger(x)
      ? 0
      : Math.max(0, digits - 1 - Math.floor(Math.log10(Math.abs(x) || 1)));
  return x.toLocaleString("en", { minimumFractionDigits: places, maximumFractionDigits: places });
}
