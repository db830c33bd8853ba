// Beside the button that signs out: what still waits on this phone is said first, then the device is cleared.

import {h, shown} from "./dom.js";
import {capital, counted} from "./golf.js";
import {clearDevice, everything} from "./store.js";

const form = document.querySelector("form[data-clears-device]");
const asked = h("div", {role: "alert"});
form.after(asked);

async function leave() {
  await clearDevice();
  for (const name of await caches.keys()) if (name.startsWith("league-card-")) await caches.delete(name);
  for (const one of await navigator.serviceWorker?.getRegistrations() ?? []) await one.unregister();
  form.submit();
}

form.addEventListener("submit", async event => {
  event.preventDefault();
  const {cards, rows} = await everything();
  const n = new Set([...rows.map(row => row.card), ...cards.filter(card => card.away).map(card => card.client_id)]).size;
  if (!n) return leave();
  shown(asked, h("div", {class: "notice"},
    h("p", {}, `${capital(counted(n, "card"))} ${n === 1 ? "has" : "have"} something that is on this phone only. Signing out clears it from here: it would be lost.`),
    h("p", {class: "acts"}, h("a", {class: "btn second", href: "/card/"}, "Look at the card"),
      h("button", {type: "button", class: "btn danger", click: leave}, "Lose it and sign out"))));
});
