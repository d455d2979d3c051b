// How many of the twelve numbers stand on the page, counted on while one types. Without the script it is counted by the
// page when it is drawn.

function count() {
  const tally = document.querySelector(".tally");
  const form = document.getElementById("step-form");
  if (!tally || !form) {
    return;
  }
  const names = tally.dataset.names.split(" ");
  const done = names.filter((name) => form.elements.namedItem(name)?.value.trim()).length;
  tally.querySelector("progress").value = done;
  tally.querySelector("span").textContent = tally.dataset.text.replace("{done}", done);
}

// The step may be drawn anew in the page's place, so the page listens and not the form.
document.addEventListener("input", count);
document.addEventListener("change", count);
count();
