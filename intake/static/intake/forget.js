// On pages that say a request cannot be seen: what this device still holds of it goes, once it is sure that the way in
// has ended. A mistyped address alone is no reason: a step that opened before is asked for as well.

import * as phone from "./phone.js";
import * as store from "./store.js";
import { fetchStep } from "./send.js";

const [, reference] = location.pathname.match(/^\/requests\/([^/]+)\//) || [];
const ended = document.querySelector("[data-forget-now]")?.dataset.forgetNow;

async function main() {
  const [, record] = (reference && store.all("").find(([name]) => name.includes(`:${reference}/`))) || [];
  if (ended || (record && (await fetchStep(record.url)).got === "gone")) {
    await phone.forget(`${ended || reference}/`);
  }
}

main();
