// The form's step, with a script: what is typed is kept on this device until it is saved, saving without a connection
// waits in a queue, and the checks answer while one types. Without the script, or where the browser keeps nothing, the
// page works by itself.

import * as outbox from "./outbox.js";
import * as phone from "./phone.js";
import * as store from "./store.js";
import * as tabs from "./tabs.js";
import { same, values } from "./fields.js";
import { say, show } from "./notices.js";
import { again, emptied, now, standing, steps } from "./queue.js";
import { formOf, go, send, take } from "./send.js";
import { begin, caughtUp, keep, readsOnly, record, restore, step, typedName } from "./step.js";
import { Live } from "./live.js";

const page = document.documentElement;

// --- saving -----------------------------------------------------------------------------------------------------------

// Return the path of the step that a button leads to.
function next(button) {
  const list = steps();
  const here = list.findIndex((one) => one.here);
  if (button?.name === "go") {
    return list.find((one) => one.path.endsWith(`/${button.value}/`))?.path;
  }
  const wanted = { back: list[here - 1], back_to_review: list[list.length - 1] }[button?.name];
  return (wanted || list[here + 1])?.path;
}

async function submit(event) {
  event.preventDefault();
  if (step.busy) {
    return;
  }
  step.busy = true;
  step.live.stop();
  say(step.form.dataset.saving);
  keep();
  try {
    await save(event.submitter);
  } finally {
    step.busy = false;
    if (step.live.stopped) {
      step.live = new Live(step.form);
    }
  }
}

async function save(button) {
  const { form, key, round } = step;
  if (readsOnly() && !button?.name && !(await emptied())) {
    return;
  }
  const fields = values(form);
  const pairs = new URLSearchParams(new FormData(form, button));
  const answer = await send(form.action, pairs);
  if (answer.got === "lost" || answer.got === "busy") {
    await wait(button, fields);
  } else if (answer.got === "gone") {
    await phone.forget(`${key.split("/")[0]}/`);
    location.reload();
  } else if (answer.got === "saved") {
    saved(key, answer.version);
    if (readsOnly() && !new URL(answer.to, location.href).pathname.includes("/round/")) {
      await phone.forget(round);
    }
    go(answer.to);
    await new Promise(() => {}); // busy until the next page stands
  } else {
    const overtaken = answer.status === 409;
    if (!overtaken) {
      saved(key, Number(formOf(answer.page).elements.base.value));
    }
    take(answer.page);
    begin(overtaken ? step.base : undefined);
    standing();
  }
}

function saved(key, version) {
  store.remove(typedName(key));
  store.remove(`queue:${key}`);
  store.remove(`look:${key}`);
  sessionStorage.removeItem("farpaddock-ahead");
  tabs.tell({ saved: key, version });
}

// Without a connection: put the step into the queue and lead on as far as pages are kept.
async function wait(button, fields) {
  const { key } = step;
  const asTyped = ["back", "go"].includes(button?.name);
  if (readsOnly() && !asTyped) {
    show("no-sending");
    return;
  }
  if (["more", "speak", "look_up", "choose", "not_mine"].includes(button?.name)) {
    show("needs-connection");
    return;
  }
  const kept = { ...record(fields), as: asTyped ? [button.name, button.value] : null };
  if (!asTyped || !same(fields, step.begun)) {
    if (!outbox.put(key, kept)) {
      show("not-kept");
      return;
    }
    store.remove(typedName(key));
    step.begun = fields;
    step.after = kept.at;
    again();
  }
  const online = button?.name === "to_photos";
  const to = online ? null : next(button);
  if (to && (await phone.keeps(to))) {
    go(to);
    return;
  }
  standing();
  if (online) {
    show("needs-connection");
  }
}

// --- other tabs, and the way in and out -------------------------------------------------------------------------------

function hear(message) {
  if (!caughtUp(message)) {
    show("other-tab");
  }
  if (step) {
    standing();
  }
}

const DONE = {
  discard() {
    store.remove(typedName(step.key));
    store.remove(`queue:${step.key}`);
    location.reload();
  },
  retry: now,
  reload: () => location.reload(),
};

document.addEventListener("click", (event) => {
  const wish = event.target.closest?.("[data-do]")?.dataset.do;
  if (wish) {
    DONE[wish]();
  }
});

document.addEventListener("submit", async (event) => {
  if (event.target === step?.form && store.works) {
    submit(event);
  }
  // "Forget on this device": the script's part of it first, then that form goes its way.
  const of = event.target.dataset.forget;
  if (of && !event.defaultPrevented) {
    event.preventDefault();
    await phone.forget(`${of}/`);
    event.target.submit();
  }
});

// Have the round's other steps kept, while there is a connection: all at first, later what a save may have changed.
async function ahead() {
  const list = steps();
  const mark = `${step.round}${page.lang}`;
  const done = sessionStorage.getItem("farpaddock-ahead") === mark;
  if (!list.length || page.dataset.kept || !(await phone.start(step.form.dataset.worker)) || done) {
    return;
  }
  const here = list.findIndex((one) => one.here);
  const first = sessionStorage.getItem("farpaddock-all") === mark ? Math.max(here - 1, 0) : 0;
  await phone.keep(list.slice(first).map((one) => one.path));
  sessionStorage.setItem("farpaddock-ahead", mark);
  sessionStorage.setItem("farpaddock-all", mark);
}

async function main() {
  begin();
  if (!step || !store.works) {
    return;
  }
  const [reference, round] = step.key.split("/");
  store.tidy(reference, Number(round));
  const look = store.read(`look:${step.key}`);
  store.remove(`look:${step.key}`);
  await restore();
  if (look) {
    step.live.lookNow();
  }
  standing();
  tabs.hear(hear);
  window.addEventListener("online", now);
  window.addEventListener("pageshow", (event) => event.persisted && location.reload());
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && now());
  ahead();
  await now();
  page.dataset.script = "ready";
}

main();
