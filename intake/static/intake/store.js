// Records on this device, by name, in localStorage. Where the browser keeps nothing (private windows, storage full or
// blocked) reading finds nothing and writing says so: the form then works as it does without scripts.
//
//   typed:<reference>/<round>/<step>:<tab>   what stands in a tab's fields and is not saved
//   queue:<reference>/<round>/<step>         what "Save" was pressed for while there was no connection
//   look:<reference>/<round>/<step>          a step that was sent from the queue and has a question or an error
//
// Each holds at (when, in ms), url, title; typed and queue also fields (text by name) and base (the version begun from).

const PREFIX = "farpaddock:";
const OLDEST = 60 * 24 * 3600 * 1000;

export const works = (() => {
  try {
    localStorage.setItem(`${PREFIX}try`, "1");
    localStorage.removeItem(`${PREFIX}try`);
    return true;
  } catch {
    return false;
  }
})();

export function read(name) {
  try {
    return JSON.parse(localStorage.getItem(PREFIX + name));
  } catch {
    return null;
  }
}

// Return whether it is kept.
export function write(name, record) {
  try {
    localStorage.setItem(PREFIX + name, JSON.stringify(record));
    return true;
  } catch {
    return false;
  }
}

export function remove(name) {
  try {
    localStorage.removeItem(PREFIX + name);
  } catch {
    // Nothing is kept, so nothing is to be removed.
  }
}

// Return [name, record] of all whose name begins so, the oldest first.
export function all(start) {
  if (!works) {
    return [];
  }
  return Object.keys(localStorage)
    .filter((name) => name.startsWith(PREFIX + start))
    .map((name) => name.slice(PREFIX.length))
    .map((name) => [name, read(name)])
    .filter(([, record]) => record && record.url)
    .sort(([, one], [, two]) => one.at - two.at);
}

// Take away all records of a request, or of one of its rounds: `of` is "<reference>/" or "<reference>/<round>/".
export function forget(of) {
  for (const kind of ["typed:", "queue:", "look:"]) {
    all(kind + of).forEach(([name]) => remove(name));
  }
}

// Take away what is too old to be of use, and what belongs to rounds before this one, which are sent.
export function tidy(reference, round) {
  for (const [name, record] of all("")) {
    const [, whose, which] = name.match(/^\w+:([^/]+)\/(\d+)\//) || [];
    if (Date.now() - record.at > OLDEST || (whose === reference && Number(which) < round)) {
      remove(name);
    }
  }
}
