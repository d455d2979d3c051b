// The step that stands on the page: its text is kept on this device as it is typed, and put back after a crash, a closed
// tab or a reload, with the version it was begun from.

import * as store from "./store.js";
import * as tabs from "./tabs.js";
import { beyond, lay, same, values } from "./fields.js";
import { show } from "./notices.js";
import { formOf } from "./send.js";
import { Live } from "./live.js";

// form, key ("<reference>/<round>/<step>"), round ("<reference>/<round>/"), begun (what the fields held at first), base
// (the version begun from), after (the time of the queue's record that this goes on from), live. Null without a form.
export let step = null;
let tab = "";

export const typedName = (key) => `typed:${key}:${tab}`;
export const readsOnly = () => step.key.endsWith("/review");
export const record = (fields) => ({
  at: Date.now(),
  url: step.form.action,
  title: step.form.dataset.title,
  fields,
  base: step.base,
});

// Take charge of the form on the page. `base`: the version its text was begun from, where that is not the page's own.
export function begin(base) {
  const form = formOf(document);
  if (!form) {
    step = null;
    return;
  }
  step?.live.stop();
  const own = Number(form.elements.base.value);
  const key = form.dataset.step;
  // Where another tab was first, the text is in danger until it is saved, changed or not.
  const begun = base === undefined ? values(form) : {};
  step = { form, key, round: key.replace(/[^/]+$/, ""), begun, base: base ?? own, after: 0 };
  step.live = new Live(form);
  if (store.works) {
    form.addEventListener("input", keep);
    form.addEventListener("change", keep);
  }
}

// Keep what is typed, as it is typed.
export function keep() {
  const fields = values(step.form);
  if (same(fields, step.begun)) {
    store.remove(typedName(step.key));
    return;
  }
  store.write(typedName(step.key), { ...record(fields), after: step.after });
}

// Return what was typed on this step and not saved: by this tab, or by one that is closed.
async function leftOver() {
  const open = await tabs.open();
  const mine = ([name]) => name.endsWith(`:${tab}`) || !open.has(name.slice(name.lastIndexOf(":") + 1));
  return store.all(`typed:${step.key}:`).filter(mine).pop();
}

// Put back what this device holds of the step: what was typed last, or what waits to be sent.
export async function restore() {
  tab = await tabs.own();
  const queued = store.read(`queue:${step.key}`);
  const [name, typed] = (await leftOver()) || [];
  const held = typed && (!queued || typed.at > queued.at) ? typed : queued;
  if (name && name !== typedName(step.key)) {
    store.remove(name);
    store.write(typedName(step.key), typed);
  }
  if (!held) {
    return;
  }
  const lost = beyond(step.form, held.fields).map((field) => held.fields[field]);
  if (!queued && !lost.length && same({ ...step.begun, ...held.fields }, step.begun)) {
    store.remove(typedName(step.key));
    return;
  }
  const overtaken = Number(step.form.elements.base.value) > held.base;
  lay(step.form, held.fields);
  step.form.elements.base.value = step.base = held.base;
  step.after = held === queued ? queued.at : held.after;
  if (held === queued) {
    step.begun = values(step.form);
  }
  if (held === typed) {
    show(overtaken ? "overtaken" : "restored", { at: held.at, lines: lost });
  } else if (lost.length) {
    show("changed", { at: held.at, lines: lost });
  }
  if (queued && queued.state === "conflict" && held === queued) {
    step.form.requestSubmit(); // the server's page shows both versions
  } else {
    step.live.lookNow();
  }
}

// A step was saved elsewhere or from the queue: where the text here goes on from the queue's, it goes on from what was
// saved. Returns false where what was saved is somebody else's.
export function caughtUp({ saved, version, queued }) {
  if (step?.key !== saved || version === step.base) {
    return true;
  }
  if (!queued || queued !== step.after) {
    return false;
  }
  step.form.elements.base.value = step.base = version;
  step.after = 0;
  return true;
}
