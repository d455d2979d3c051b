// Notices above the form, made from the page's templates ("notice-<name>"), and words for screen readers.

const area = () => document.getElementById("kept-notices");

// Return the time of day, with the date where it is not today's.
export function when(at) {
  const clock = { hour: "2-digit", minute: "2-digit", hourCycle: "h23" };
  const today = new Date(at).toDateString() === new Date().toDateString();
  const date = today ? {} : { day: "numeric", month: "long" };
  return new Intl.DateTimeFormat(document.documentElement.lang || undefined, { ...date, ...clock }).format(at);
}

// Tell screen readers politely. The focus stays where it is.
export function say(text) {
  const region = document.getElementById("say");
  if (region && region.textContent !== text) {
    region.textContent = text;
  }
}

export function hide(name) {
  area()?.querySelector(`[data-notice="${name}"]`)?.remove();
}

// Show a notice; `at` fills in the time, `steps` ({ url, title }) a list of links, `lines` a list of text.
export function show(name, { at, steps = [], lines = [] } = {}) {
  const template = document.getElementById(`notice-${name}`);
  if (!template || !area()) {
    return;
  }
  const notice = template.content.firstElementChild.cloneNode(true);
  notice.dataset.notice = name;
  for (const time of notice.querySelectorAll("time")) {
    time.textContent = when(at || Date.now());
  }
  const list = notice.querySelector("ul");
  for (const { url, title } of steps) {
    const link = document.createElement("a");
    link.href = url;
    link.textContent = title;
    list.appendChild(document.createElement("li")).append(link);
  }
  for (const line of lines) {
    list.appendChild(document.createElement("li")).textContent = line;
  }
  if (list && !list.children.length) {
    list.remove();
  }
  const old = area().querySelector(`[data-notice="${name}"]`);
  if (old && old.textContent === notice.textContent) {
    return;
  }
  if (old) {
    old.replaceWith(notice);
  } else {
    area().append(notice);
  }
  say(notice.querySelector("h2").textContent);
}
