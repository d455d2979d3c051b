// What stands in a form's fields, as text by name, and such text put into the fields again.

const OURS = new Set(["csrfmiddlewaretoken", "base", "seen"]);

const controls = (form) =>
  [...form.elements].filter((control) => control.name && control.type !== "submit" && !OURS.has(control.name));

// Return the text of every field by name; "" for a box not ticked and a choice not made.
export function values(form) {
  const found = {};
  for (const control of controls(form)) {
    const unset = /^(radio|checkbox)$/.test(control.type) && !control.checked;
    if (!unset) {
      found[control.name] = control.value;
    } else if (!(control.name in found)) {
      found[control.name] = "";
    }
  }
  return found;
}

export const same = (one, two) =>
  [...new Set([...Object.keys(one), ...Object.keys(two)])].every((name) => (one[name] || "") === (two[name] || ""));

// Put text into the fields; what folds away unfolds around it. Fields that the text does not speak of stay.
export function lay(form, fields) {
  for (const control of controls(form)) {
    const text = fields[control.name];
    if (text === undefined) {
      continue;
    }
    if (control.type === "radio") {
      control.checked = control.value === text;
    } else if (control.type === "checkbox") {
      control.checked = text !== "";
    } else {
      if (control.type === "date" && text && control.value !== text) {
        control.type = "text"; // what is no date shall be seen all the same
      }
      control.value = text;
    }
    const folded = control.closest("details");
    if (folded && text && control.type !== "hidden" && control.type !== "select-one") {
      folded.open = true;
    }
  }
}

// Return the names of fields with text that a form does not ask for: they would be lost on the way.
export function beyond(form, fields) {
  const asked = new Set(controls(form).map((control) => control.name));
  return Object.keys(fields).filter((name) => fields[name] && !name.endsWith(".unit") && !asked.has(name));
}
