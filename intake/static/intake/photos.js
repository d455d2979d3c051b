// Sends the chosen files one by one and shows how far each is; without this script the form sends them all at once.
// Where the connection breaks off, the files not sent stay chosen, so that pressing the button again sends them.
"use strict";

(() => {
  const form = document.querySelector(".photo-form");
  const box = form && form.querySelector(".progress");
  if (!form || !box || !window.FormData) {
    return;
  }
  const bar = box.querySelector("progress");
  const words = box.querySelector("[role=status]");
  const say = (text, n, m) => {
    const told = text.replace("%n", n).replace("%m", m);
    if (words.textContent !== told) {
      words.textContent = told;
    }
  };

  const STALLED = 60_000;

  // Returns what was refused, or null where the connection broke off.
  const send = (input, file, n, m) =>
    new Promise((resolve) => {
      const body = new FormData();
      body.append("csrfmiddlewaretoken", form.elements.csrfmiddlewaretoken.value);
      body.append(input.name, file);
      const call = new XMLHttpRequest();
      call.open("POST", form.action);
      call.setRequestHeader("Accept", "application/json");
      call.responseType = "json";
      let stalled = 0;
      const wait = () => {
        clearTimeout(stalled);
        stalled = setTimeout(() => call.abort(), STALLED);
      };
      const end = (refused) => {
        clearTimeout(stalled);
        resolve(refused);
      };
      call.upload.onprogress = (event) => {
        wait();
        bar.value = event.lengthComputable ? (100 * event.loaded) / event.total : 0;
        say(event.loaded < event.total ? box.dataset.sending : box.dataset.reading, n, m);
      };
      call.onload = () => end(call.response ? call.response.refused : null);
      call.onerror = call.onabort = () => end(null);
      wait();
      say(box.dataset.sending, n, m);
      bar.value = 0;
      call.send(body);
    });

  const keep = (input, left) => {
    const files = new DataTransfer();
    left.filter((one) => one.input === input).forEach(({ file }) => files.items.add(file));
    input.files = files.files;
  };

  const refuse = (list) => {
    const notice = document.createElement("div");
    notice.className = "notice stop";
    notice.setAttribute("role", "alert");
    notice.tabIndex = -1;
    const items = document.createElement("ul");
    for (const text of list) {
      const item = document.createElement("li");
      item.textContent = text;
      items.append(item);
    }
    notice.append(items);
    box.before(notice);
    notice.focus();
  };

  form.addEventListener("submit", async (event) => {
    const chosen = [...form.querySelectorAll("input[type=file]")].flatMap((input) =>
      [...input.files].map((file) => ({ input, file })),
    );
    if (!chosen.length) {
      return;
    }
    event.preventDefault();
    const pressed = event.submitter;
    const buttons = form.querySelectorAll("button");
    for (const old of form.querySelectorAll(".notice")) {
      old.remove();
    }
    buttons.forEach((button) => (button.disabled = true));
    box.hidden = false;
    const refused = [];
    let left = [];
    for (const [place, { input, file }] of chosen.entries()) {
      const told = await send(input, file, place + 1, chosen.length);
      if (!told) {
        refused.push(box.dataset.broken);
        left = chosen.slice(place);
        break;
      }
      refused.push(...told.map((text) => (chosen.length > 1 ? `${file.name}: ${text}` : text)));
    }
    box.hidden = true;
    buttons.forEach((button) => (button.disabled = false));
    form.querySelectorAll("input[type=file]").forEach((input) => keep(input, left));
    if (refused.length) {
      refuse(refused);
      return;
    }
    // The files are there; the words beside them go the usual way, which also shows the photos.
    form.requestSubmit(pressed);
  });
})();
