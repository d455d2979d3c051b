// Brings a step to the server and says what became of it; a page that came back takes the place of the one shown.

const PATIENCE = 10_000;

async function ask(url, options) {
  try {
    const answer = await fetch(url, {
      credentials: "same-origin",
      redirect: "manual",
      signal: AbortSignal.timeout?.(PATIENCE),
      ...options,
    });
    return { status: answer.status, led: answer.type === "opaqueredirect", text: await answer.text(), type: answer.headers.get("Content-Type") || "" };
  } catch {
    return { status: 0, led: false, text: "", type: "" };
  }
}

export const parsed = (text) => new DOMParser().parseFromString(text, "text/html");
export const formOf = (page) => page.querySelector("form[data-step]");
export const baseOf = (page) => Number(formOf(page)?.elements.base?.value || 0);

// Fetch a step's page. `got`: "page" with the parsed `page`, "lost" without a connection, "gone" when this browser may
// not see it any more, "closed" when the round was sent, "busy" when the server cannot answer now.
export async function fetchStep(url) {
  const { status, led, text } = await ask(url, { cache: "no-store" });
  if (status === 200) {
    const page = parsed(text);
    return formOf(page) ? { got: "page", page } : { got: "busy" };
  }
  return { got: led ? "closed" : status === 404 ? "gone" : status === 0 ? "lost" : "busy" };
}

// Send fields. `got`: "saved" with `to` and `version`, "page" with `status` and the parsed `page`, or "lost", "gone",
// "busy" as above. A token that has gone stale (somebody logged in here meanwhile) is fetched anew, once.
export async function send(url, pairs, again = true) {
  const body = new URLSearchParams(pairs);
  const { status, led, text, type } = await ask(url, { method: "POST", body, headers: { "X-Sent-By": "script" } });
  if (status === 200 && type.startsWith("application/json")) {
    return { got: "saved", ...JSON.parse(text) };
  }
  if (led) {
    return { got: "saved", to: url, version: null };
  }
  if (status === 403 && again) {
    const fresh = await fetchStep(url);
    if (fresh.got !== "page") {
      return fresh;
    }
    body.set("csrfmiddlewaretoken", formOf(fresh.page).elements.csrfmiddlewaretoken.value);
    return send(url, body, false);
  }
  if ([200, 409, 422].includes(status)) {
    const page = parsed(text);
    return formOf(page) ? { got: "page", status, page } : { got: "busy" };
  }
  return { got: status === 404 ? "gone" : status === 0 ? "lost" : "busy" };
}

// Put what a page says in the place of what stands here, and lead to what it wants read first.
export function take(page) {
  document.title = page.title;
  const main = document.adoptNode(page.querySelector("main"));
  document.querySelector("main").replaceWith(main);
  const first = main.querySelector("[autofocus]");
  if (first) {
    first.focus();
  } else {
    main.focus();
  }
}

// Go to an address, loading it anew where it is the one shown.
export function go(to) {
  const there = new URL(to, location.href);
  const here = there.pathname === location.pathname && there.search === location.search;
  location.assign(there);
  if (here) {
    location.reload();
  }
}
