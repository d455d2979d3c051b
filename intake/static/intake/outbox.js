// Steps that were saved without a connection, and their way to the server once it is back: in order, each with the
// version it was begun from. What cannot be saved as it is stays here until the client has looked at it.

import * as store from "./store.js";
import * as tabs from "./tabs.js";
import { baseOf, fetchStep, formOf, send } from "./send.js";
import { beyond, same } from "./fields.js";

// Return the records of a round that wait for a connection, and those that wait for the client (`state`).
export const waiting = (of) => store.all(`queue:${of}`).filter(([, record]) => !record.state);
export const held = (of) => store.all(`queue:${of}`).filter(([, record]) => record.state);

// Keep a step until it can be sent. Returns false where this browser keeps nothing.
export function put(key, record) {
  const kept = store.write(`queue:${key}`, record);
  tabs.tell({ queue: true });
  return kept;
}

// What was typed since on the same step goes on from the version that it has become. Returns the word for other tabs.
function goOn(key, record, version) {
  for (const [name, typed] of store.all(`typed:${key}:`)) {
    if (typed.after === record.at && same(typed.fields, record.fields)) {
      store.remove(name);
    } else if (typed.after === record.at) {
      store.write(name, { ...typed, base: version, after: 0 });
    }
  }
  const now = store.read(`queue:${key}`);
  if (now && now.at === record.at) {
    store.remove(`queue:${key}`);
  } else if (now) {
    store.write(`queue:${key}`, { ...now, base: version });
  }
  const word = { saved: key, version, queued: record.at };
  tabs.tell(word);
  return word;
}

function hold(key, record, state) {
  store.write(`queue:${key}`, { ...record, state });
}

// Send one step. Returns the word that it is saved, or "held" when the client must look at it, "gone", or "lost" to try
// again later.
async function deliver(key, record) {
  const shown = await fetchStep(record.url);
  if (shown.got === "closed") {
    hold(key, record, "closed");
    return "held";
  }
  if (shown.got !== "page") {
    return shown.got === "gone" ? "gone" : "lost";
  }
  const form = formOf(shown.page);
  if (beyond(form, record.fields).length) {
    hold(key, record, "changed");
    return "held";
  }
  const token = form.elements.csrfmiddlewaretoken.value;
  const pairs = { ...record.fields, base: record.base, csrfmiddlewaretoken: token };
  if (record.as) {
    const [name, value] = record.as; // a button that saves as typed and asks for nothing
    pairs[name] = value;
  }
  const answer = await send(record.url, pairs);
  if (answer.got === "saved") {
    // An answer without a version came from a page that does not tell it: the next look at the page will.
    return goOn(key, record, answer.version ?? baseOf((await fetchStep(record.url)).page ?? document));
  }
  if (answer.got !== "page") {
    return answer.got === "gone" ? "gone" : "lost";
  }
  if (answer.status === 409) {
    hold(key, record, "conflict");
    return "held";
  }
  // Saved, with a question of the checks or with something that cannot be read.
  store.write(`look:${key}`, { at: Date.now(), url: record.url, title: record.title });
  return goOn(key, record, baseOf(answer.page));
}

// Send all that waits in a round. Returns { sent: [word], gone, lost }: lost when some is left to be tried again. One tab
// at a time does it; in the others this is null.
export function flush(of) {
  return tabs.alone(async () => {
    const sent = [];
    for (const [name, record] of waiting(of)) {
      const key = name.slice("queue:".length);
      const came = await deliver(key, record);
      if (came.saved) {
        sent.push(came);
      } else if (came !== "held") {
        return { sent, gone: came === "gone", lost: came === "lost" };
      }
    }
    return { sent, gone: false, lost: false };
  });
}
