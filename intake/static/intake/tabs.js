// Which tab this is, which others are open, and a word between them when a step is saved.

const LOCK = "farpaddock-tab-";
let id = "";

const fresh = () => Math.random().toString(36).slice(2, 10);

function hold(name, wait) {
  return new Promise((resolve) => {
    const options = wait ? { signal: AbortSignal.timeout?.(wait) } : {};
    // Held until the page goes: that is how other tabs know that this one is open.
    navigator.locks
      .request(LOCK + name, options, () => {
        resolve(true);
        return new Promise(() => {});
      })
      .catch(() => resolve(false));
  });
}

// Return this tab's id: the same after loading anew, another in a tab that was duplicated from this one.
export async function own() {
  if (id) {
    return id;
  }
  let name = fresh();
  try {
    const before = sessionStorage.getItem("farpaddock-tab");
    name = before && (!navigator.locks || (await hold(before, 600))) ? before : fresh();
    if (name !== before && navigator.locks) {
      hold(name);
    }
    sessionStorage.setItem("farpaddock-tab", name);
  } catch {
    // A browser that keeps nothing for a tab: an id for as long as the page stands.
  }
  id = name;
  return id;
}

// Return the ids of all open tabs, this one among them.
export async function open() {
  if (!navigator.locks) {
    return new Set([id]);
  }
  const { held } = await navigator.locks.query();
  return new Set(held.map((lock) => lock.name).filter((name) => name.startsWith(LOCK)).map((name) => name.slice(LOCK.length)));
}

const channel = "BroadcastChannel" in window ? new BroadcastChannel("farpaddock") : null;

// Tell other tabs what happened: { saved: "<reference>/<round>/<step>", version, queued } or { queue: true }.
export const tell = (message) => channel && channel.postMessage(message);
export const hear = (listener) => channel && channel.addEventListener("message", (event) => listener(event.data));

// Let one tab at a time do `work`; where another is at it, do nothing.
export function alone(work) {
  if (!navigator.locks) {
    return work();
  }
  return navigator.locks.request("farpaddock-queue", { ifAvailable: true }, (lock) => (lock ? work() : null));
}
