// How it stands with what this device holds of the round: shown above the form, and sent once there is a connection.

import * as outbox from "./outbox.js";
import * as phone from "./phone.js";
import * as store from "./store.js";
import { hide, show } from "./notices.js";
import { fetchStep } from "./send.js";
import { caughtUp, readsOnly, step } from "./step.js";

const PAUSES = [5, 10, 20, 40, 60];
const page = document.documentElement;
let tries = 0;
let timer = 0;

// Return the round's steps in order, as listed beside the form: { path, here }.
export function steps() {
  const listed = [...document.querySelectorAll("#steps ol :is(a[href], button[value])")];
  return listed.map((entry) => ({
    path: entry.pathname || new URL(`../${entry.value}/`, step.form.action).pathname,
    here: entry.hasAttribute("aria-current"),
  }));
}

// Show how it stands with what this device holds of the round.
export function standing() {
  const told = (rows) => rows.map(([, record]) => ({ url: record.url, title: record.title }));
  const rows = { queued: outbox.waiting(step.round), look: store.all(`look:${step.round}`) };
  for (const state of ["conflict", "changed", "closed"]) {
    rows[state] = outbox.held(step.round).filter(([, record]) => record.state === state);
  }
  for (const [name, of] of Object.entries(rows)) {
    const elsewhere = of.filter(([key]) => !key.endsWith(`:${step.key}`) || name === "queued");
    if (elsewhere.length) {
      show(name, { steps: told(elsewhere), at: elsewhere[0][1].at });
    } else if (name !== "changed" || !of.length) {
      hide(name);
    }
  }
  if (page.dataset.kept && !rows.queued.length) {
    show("offline", { at: Date.parse(page.dataset.kept) });
  } else {
    hide("offline");
  }
}

async function flush() {
  const came = await outbox.flush(step.round);
  if (!came) {
    return null;
  }
  if (came.gone) {
    await phone.forget(`${step.key.split("/")[0]}/`);
    location.reload();
    return came;
  }
  came.sent.forEach(caughtUp);
  if (came.sent.length) {
    delete page.dataset.kept;
    phone.keep(steps().map((one) => one.path));
    if (!came.lost) {
      hide("needs-connection");
      show("sent");
    }
  }
  standing();
  return came;
}

// Before the round is sent: bring what waits to the server first, and show the page anew if that changed it.
export async function emptied() {
  const came = await flush();
  if (came?.sent.length) {
    location.reload();
    return false;
  }
  if (outbox.waiting(step.round).length || outbox.held(step.round).length) {
    show("no-sending");
    return false;
  }
  return true;
}

// Try again, after longer and longer pauses while there is no connection.
export function again() {
  clearTimeout(timer);
  timer = setTimeout(attempt, PAUSES[Math.min(tries, PAUSES.length - 1)] * 1000);
  tries += 1;
}

async function attempt() {
  if (!step || step.busy) {
    return;
  }
  const came = outbox.waiting(step.round).length ? await flush() : null;
  if (came?.sent.length && !came.lost && readsOnly()) {
    location.reload(); // what is looked over has changed
  }
  if (!came && page.dataset.kept && (await fetchStep(location.href)).got === "page") {
    delete page.dataset.kept;
    standing();
  }
  if (outbox.waiting(step.round).length || page.dataset.kept) {
    again();
  }
}

export function now() {
  tries = 0;
  return attempt();
}
