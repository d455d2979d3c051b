// What the checks say while somebody types: asked when a field is left, shown beside it, told politely, never in the way.

import { say } from "./notices.js";

const PAUSE = 350;

export class Live {
  constructor(form) {
    this.form = form;
    this.left = new Set();
    this.said = "";
    this.call = null;
    form.addEventListener("change", (event) => this.leave(event.target));
    form.addEventListener("focusout", (event) => this.leave(event.target));
    // What the page itself complains of goes as soon as it is put right.
    for (const control of form.querySelectorAll('[aria-invalid="true"]')) {
      this.left.add(control.name);
    }
  }

  // Look at all fields that hold something, as after putting typed text back.
  lookNow() {
    for (const control of this.form.elements) {
      if (control.name && control.value && control.type !== "hidden" && control.type !== "submit") {
        this.left.add(control.name);
      }
    }
    this.look();
  }

  leave(control) {
    if (!control.name || control.type === "hidden" || control.tagName === "BUTTON") {
      return;
    }
    this.left.add(control.name);
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.look(), PAUSE);
  }

  stop() {
    clearTimeout(this.timer);
    this.call?.abort();
    this.stopped = true;
  }

  async look() {
    const body = new URLSearchParams(new FormData(this.form));
    body.delete("base");
    const text = body.toString();
    if (this.stopped || text === this.seen) {
      return;
    }
    this.call?.abort();
    this.call = new AbortController();
    let answer;
    try {
      const got = await fetch(this.form.dataset.look, {
        method: "POST",
        body,
        credentials: "same-origin",
        redirect: "error",
        signal: this.call.signal,
      });
      if (!got.ok) {
        return;
      }
      answer = await got.json();
    } catch {
      return; // The button says it all again.
    }
    if (!this.stopped) {
      this.seen = text;
      this.show(answer);
    }
  }

  show({ errors, asked, stopped }) {
    for (const name of this.left) {
      this.mark(name, errors[name] || "");
    }
    const shown = asked.filter(({ fields }) => !fields.length || fields.some((name) => this.left.has(name)));
    this.ask(shown);
    this.halt(stopped);
    const words = [
      ...[...this.left].filter((name) => errors[name]).map((name) => `${this.label(name)}: ${errors[name]}`),
      ...stopped,
      ...shown.map((question) => question.text),
    ].join(" ");
    if (words !== this.said) {
      say(words || this.form.dataset.clear);
      this.said = words;
    }
  }

  control(name) {
    const found = this.form.elements.namedItem(name);
    return found instanceof RadioNodeList ? found[0] : found;
  }

  label(name) {
    const control = this.control(name);
    const group = control?.type === "radio" ? control.closest("fieldset")?.querySelector("legend") : null;
    return (group || control?.labels?.[0])?.textContent.trim() || "";
  }

  // Write a field's error where the page itself would, or take it away.
  mark(name, text) {
    const control = this.control(name);
    const field = control?.closest(".field, .complaint");
    if (!field) {
      return;
    }
    const target = control.type === "radio" ? field : control;
    const id = `${target.id}-error`;
    const described = (target.getAttribute("aria-describedby") || "").split(" ").filter((one) => one && one !== id);
    let error = document.getElementById(id);
    if (error?.textContent.trim() === text) {
      return;
    }
    if (!text) {
      error?.remove();
      field.classList.remove("bad");
      control.removeAttribute("aria-invalid");
    } else {
      if (!error) {
        error = document.createElement("p");
        error.className = "error";
        error.id = id;
        const before = field.querySelector(".hint, label, legend");
        if (before && !before.contains(control)) {
          before.after(error);
        } else {
          field.prepend(error);
        }
      }
      error.textContent = text;
      field.classList.add("bad");
      this.letters(control);
      control.setAttribute("aria-invalid", "true");
      described.unshift(id);
    }
    if (described.length) {
      target.setAttribute("aria-describedby", described.join(" "));
    } else {
      target.removeAttribute("aria-describedby");
    }
  }

  // A number that is asked about may need its unit behind it: a keypad of digits cannot write that.
  letters(control) {
    if (control.inputMode) {
      control.inputMode = "text";
    }
  }

  // Show each question below the group of the last of its fields that stands on this page.
  ask(questions) {
    const kept = new Set();
    for (const question of questions) {
      const names = question.fields.filter((name) => this.control(name));
      const control = names.length ? this.control(names[names.length - 1]) : null;
      names.forEach((name) => this.letters(this.control(name)));
      const group = control?.closest("fieldset:not(.field)") || this.form.querySelector("fieldset:not(.field)");
      const id = `live-${question.id.replaceAll(".", "-")}`;
      kept.add(id);
      this.notice(id, question.stops ? "live-stop" : "live-asked", [question.text], group);
    }
    for (const old of this.form.querySelectorAll(".live-question")) {
      if (!kept.has(old.id)) {
        old.remove();
      }
    }
  }

  // What the stop gate says to a yes.
  halt(reasons) {
    const old = document.getElementById("live-stopped");
    if (!reasons.length) {
      old?.remove();
      return;
    }
    const last = [...this.form.querySelectorAll("fieldset:not(.field)")].pop();
    this.notice("live-stopped", "live-stopped", reasons, last || this.form);
  }

  notice(id, name, lines, group) {
    const made = document.getElementById(`notice-${name}`).content.firstElementChild.cloneNode(true);
    made.id = id;
    for (const line of lines) {
      made.querySelector("ul").appendChild(document.createElement("li")).textContent = line;
    }
    if (name !== "live-stopped") {
      made.classList.add("live-question");
    }
    const old = document.getElementById(id);
    if (old?.textContent === made.textContent) {
      return;
    }
    if (old) {
      old.replaceWith(made);
    } else {
      group.append(made);
    }
  }
}
