// The card's page: draws what the store holds, writes what is tapped, and leaves the sending to the outbox.

import {h, row, button, shown} from "./dom.js";
import {capital, clock, counted, dayWords, holeShown, holesShown, inWords, lineOf, nameOf, numbersOf, today, valueWords} from "./golf.js";
import {awayChoice, awayWords, peopleOf} from "./away.js";
import {groupName, teeOf, teeWords} from "./kit.js";
import * as outbox from "./outbox.js";
import {startScreen} from "./start.js";
import * as store from "./store.js";

const place = document.getElementById("card");
const alarm = document.getElementById("alarm");
let route = [];
let chosen = null;
let draft = {};
let lasting = null;
let asking = null;
let drawnAt = null;
let drawing = Promise.resolve();

/** The screens of a card come after the list is there, and before they are asked for: the first load is the lighter. */
const fetchScreens = () => Promise.all([import("./hole.js"), import("./whole.js"), import("./reset.js")]);
let screens = fetchScreens();
screens.catch(() => {});

function readRoute() {
  if (location.hash && !location.hash.startsWith("#/")) return false; // the skip link
  route = location.hash.slice(2).split("/").filter(Boolean);
  return true;
}

const draw = () => (drawing = drawing.then(drawNow).catch(fault => {
  console.warn(fault);
  shown(alarm, h("p", {class: "warn"}, store.isFull(fault)
    ? "This phone’s storage is full: a card cannot be kept here. Make room on the phone, then open this page again."
    : "This browser keeps no storage for pages (a private window may be why), so a card cannot be kept here."));
}));

/** The field in which a figure stands that was typed and is not kept yet. */
function beingTyped() {
  const at = document.activeElement;
  return place.contains(at) && at.matches("input[type=number]") && (at.value !== at.drawn || at.validity.badInput) ? at : null;
}

async function drawNow() {
  const all = await store.everything();
  if (!readRoute()) return;
  const typed = beingTyped();
  if (typed && location.hash === drawnAt) { // drawn over, it would be lost
    typed.addEventListener("blur", draw, {once: true});
    return;
  }
  typed?.blur();
  drawnAt = location.hash;
  const {facts, cards} = all;
  const card = cards.find(one => one.client_id === route[0] && one.account === facts.account);
  const [heading, date] = [document.querySelector("h1"), document.querySelector(".title .date")];
  document.getElementById("who").textContent = facts.name ?? "";
  if (!card) {
    heading.textContent = "Card";
    date.textContent = "";
    shown(place, startScreen({...all, acts, draft, lasting, who: standing(null, all.rows.filter(one => one.account === facts.account))}));
    return;
  }
  const drawn = await screens.catch(() => (screens = fetchScreens())).catch(() => null);
  if (!drawn) {
    shown(place, h("p", {class: "warn"}, "The page came without all of its parts. What was tapped is kept; open the page again where there is a signal."));
    return;
  }
  const [{holeScreen}, {wholeScreen}, {resetScreen}] = drawn;
  const rows = all.rows.filter(one => one.card === card.client_id);
  const tee = teeOf(facts.kit, card.tee) ?? card.tee_told;
  const holes = holesShown(card, rows);
  const numbers = numbersOf(card.holes_in_play);
  const me = facts.account;
  const player = card.players.some(one => one.id === chosen) ? chosen : (card.players.find(one => one.id === me) ?? card.players[0]).id;
  const shared = {cards, card: {...card, asks: asking === card.client_id}, all: holes, numbers, tee, kit: {...facts.kit, routine: facts.routine, meant: facts.meant}, acts, me, rows, who: standing(card, rows, facts.kit)};
  const number = Number(route[1]);
  const isReset = route[2] === "reset" && numbers.includes(number) && card.players.some(one => one.id === me);
  heading.textContent = isReset ? "Reset" : route[1] === "whole" ? "Whole card" : "Card";
  const where = [teeWords(tee), groupName(facts.kit, card)].filter(Boolean).join(", ");
  date.textContent = `${dayWords(card.played_on)}, ${where}`;
  const isNear = numbers.includes(number); // one hole: the keys need the room of the title
  shown(place, nav(card, route[1], isReset ? `After hole ${number}` : isNear ? [card.played_on !== today() && dayWords(card.played_on), where].filter(Boolean).join(", ") : ""), isReset ? resetScreen({...shared, number})
    : isNear ? holeScreen({...shared, number, player}) : wholeScreen(shared));
}

const heldWords = rows => `${capital(counted(rows.length, "thing"))} ${rows.length === 1 ? "needs" : "need"} you.`;
const nav = (card, at, where) => h("p", {class: "ways"}, h("a", {id: "all-cards", href: "#/"}, "All cards"), where && h("span", {}, where),
  at !== "whole" && h("a", {id: "whole", href: `#/${card.client_id}/whole`}, "Whole card"));

/** What became of what was written: {words, link, decide}. */
function standing(card, rows, kit) {
  const held = rows.filter(one => one.held);
  const waiting = rows.filter(one => !one.held);
  const {is} = outbox.state;
  const signIn = is === "signed out" ? [`/sign-in/?next=${encodeURIComponent(`/card/${location.hash}`)}`, "Sign in again"] : null;
  if (card?.away) return {words: `${awayWords(card.away)} On this phone only.`, link: signIn ?? (route[1] !== "whole" && [`#/${card.client_id}/whole`, "Keep it or let it go"]), decide: awayChoice({card, rows, kit, acts, asks: asking === card.client_id})};
  const decide = card && held.length ? decisions(card, held) : null;
  if (held.length) return {words: `On this phone only. ${heldWords(held)}`, link: signIn, decide};
  if (!rows.length) {
    const words = card?.stored_at ? `Stored, ${clock(card.stored_at)}.` : {
      offline: "No signal. What you tap is kept on this phone.",
      full: "This phone’s storage is full: make room on it before a card is written.",
    }[is] ?? "";
    return {words: signIn ? `${words} The sign-in has ended; a card can be written and is sent afterwards.` : words, link: signIn, decide};
  }
  const holes = new Set(waiting.filter(one => one.kind === "mark").map(one => `${one.card} ${one.number}`)).size;
  const what = holes ? `: ${counted(holes, "hole")}` : "";
  const why = {offline: "It waits for a signal.", "signed out": "Sign in again, then it sends.", trouble: "The service is busy; it is tried again.", full: "This phone’s storage is full."}[is] ?? "";
  return {words: `On this phone only${what}. ${why}`, link: signIn, decide};
}

/** What the service did not take: both versions, and a person decides. */
function decisions(card, held) {
  const stored = holesShown(card, []);
  const storedWords = ({player, number}) => {
    const {value, contested} = holeShown(stored, player, number);
    return contested.length ? contested.map(one => valueWords(one.value)).join(" or ") : valueWords(value);
  };
  return row("Needs you", h("ul", {class: "list"}, held.map(one => h("li", {},
    h("p", {}, one.kind === "mark"
      ? `Hole ${one.number}, ${nameOf(card, one.player)}: this phone says ${valueWords(one.mark.value)}; stored is ${storedWords(one)}.`
      : one.kind === "settle" ? `Hole ${one.number}, ${nameOf(card, one.player)}: this phone chose ${valueWords(one.value)}; stored is ${storedWords(one)}.`
      : one.kind === "card" ? "The card itself." : `The reset after hole ${one.number}${one.kind === "unreset" ? ", taken back" : ""}.`),
    h("p", {class: "small"}, heldReason(one), " ", lineOf(card, one.player)?.round && one.player === card.account && h("a", {href: `/rounds/${lineOf(card, one.player).round}/correct/`}, "Correct the round"))))),
  h("p", {class: "acts"}, button("retry", "Try once more", acts.retry),
    held.some(one => one.kind === "card" && (one.held.code === "group_rests" || one.held.errors.some(error => error.field === "group"))) && button("ungroup", "Keep it without the group", acts.ungroup),
    held.every(one => one.kind !== "card") && button("forget", "Keep what is stored", () => acts.forget(held.map(one => one.seq)))));
}

/** Where the whole line came too late, each mark's own message says the same once more. */
const heldReason = ({held}) => LATE.has(held.code) ? held.detail : [held.detail, ...held.errors.map(error => error.message)].join(" ");
const LATE = new Set(["card_sent", "card_dropped"]);

// What a person does

/** Everything is kept before anything is said; what could not be kept is said plainly. */
async function kept(work, what) {
  try {
    const result = await work();
    shown(alarm);
    outbox.changed();
    return result;
  } catch (fault) {
    if (fault instanceof store.NotNow) {
      shown(alarm, h("p", {class: "warn"}, fault.message));
      return undefined;
    }
    if (!store.isFull(fault)) console.warn(fault);
    shown(alarm, h("div", {class: "notice"}, h("p", {}, store.isFull(fault)
      ? `This phone’s storage is full: ${what} could not be kept. Write it on paper, make room on the phone, then tap again.`
      : `${capital(what)} could not be kept on this phone. Write it on paper, open this page again, then tap again.`)));
    return undefined;
  } finally {
    await draw();
  }
}

const drafted = form => ({tee: form.get("tee"), holes: form.get("holes"), day: form.get("day"), players: form.getAll("players"),
  group: form.get("group") ?? undefined, order: form.get("order") ?? undefined});
const here = () => route[0];
const clean = value => {
  const left = Object.fromEntries(Object.entries(value).filter(([, one]) => one !== undefined && one !== null));
  return Object.keys(left).length ? left : null;
};

const acts = {
  write: (player, number, given) => kept(() => store.writeHole(here(), player, number, value => clean({...value, ...given})), `the entry for hole ${number}`),
  clear: (player, number) => kept(() => store.writeHole(here(), player, number, () => null), `the clearing of hole ${number}`),
  undo: async () => {
    const back = await kept(() => store.undo(here()), "the undoing");
    if (back === null) shown(alarm, h("p", {class: "small"}, "Nothing is left to take back on this phone."));
    if (!back) return;
    if (back.said) shown(alarm, h("p", {class: "warn"}, back.said));
    chosen = back.player ?? null;
    if (Number(route[1]) !== back.number && route[1] !== "whole") location.hash = `#/${here()}/${back.number}`;
    else await draw();
  },
  choose: player => { chosen = player; draw(); },
  quiet: is_quiet => kept(() => store.changeCard(here(), {is_quiet}), "that"),
  settle: (player, number, mark) => kept(() => store.settle(here(), player, number, mark), `the choice for hole ${number}`),
  send: body => kept(() => store.wishToSend(here(), body), "the wish to send"),
  unsend: () => kept(() => store.doNotSend(here()), "that"),
  order: order_to_send => kept(() => store.changeCard(here(), {order_to_send}), "that"),
  reason: reason => kept(() => store.changeCard(here(), {reason}), "that"),
  reset: async (number, way) => {
    const done = await kept(() => store.markReset(here(), number), "the reset");
    if (done && way) location.hash = way;
  },
  takeBack: number => kept(() => store.takeBackReset(here(), number), "the taking back"),
  retry: () => kept(() => store.retryRows(here()), "that"),
  ungroup: () => kept(async () => { await store.changeCard(here(), {group: null, group_name: ""}); await store.retryRows(here()); }, "that"),
  forget: seqs => kept(() => store.forgetRows(here(), seqs), "that"),
  answer: async (sent, answer) => {
    const refused = await outbox.answerFor(sent, answer);
    shown(alarm, refused && h("p", {class: "warn"}, refused));
    await draw();
  },
  ask: () => { asking = here(); draw(); },
  keep: () => { asking = null; draw(); },
  remove: async () => {
    asking = null;
    const refused = await kept(() => outbox.drop(here()), "the taking away");
    if (refused) shown(alarm, h("p", {class: "warn"}, refused));
    if (refused === "") location.hash = "#/";
  },
  letGo: async () => {
    asking = null;
    if (await kept(async () => { await store.removeCard(here()); return true; }, "that")) location.hash = "#/";
  },
  /** The card that was taken away, as one of one's own. */
  reopen: async () => {
    const {facts, cards, rows} = await store.everything();
    const old = cards.find(one => one.client_id === here());
    const {account, account_name, tee, tee_version, holes_in_play, played_on, order_in_day, group, group_name = ""} = old;
    const made = {
      account, account_name, tee, tee_version, holes_in_play, played_on, order_in_day, group, group_name, tee_told: old.tee_told ?? teeOf(facts.kit, tee),
      client_id: crypto.randomUUID(), opened_at: new Date().toISOString(), players: peopleOf(old, rows.filter(one => one.card === old.client_id), facts.kit),
    };
    if (await kept(() => store.reopen(old.client_id, made), "the new card")) location.hash = `#/${made.client_id}/${route[1]}`;
  },
  /** What stands in the form of a new card, so that drawing it again takes nothing away. */
  draft: (form, name) => {
    draft = drafted(form);
    // Another course may be another group's, and another day has other rounds: those two are looked at anew.
    if (name === "tee") delete draft.group;
    if (name === "day") delete draft.order;
    if (["tee", "day", "group"].includes(name)) draw();
  },
  open: async (form, tee) => {
    const {facts} = await store.everything();
    draft = drafted(form);
    const {players} = draft;
    if (!players.length || players.length > 4) { draft.fault = players.length ? `${capital(inWords(players.length))} people are chosen; a card holds four.` : "Choose who is on the card."; draw(); return; }
    const names = new Map([[facts.account, facts.name], ...(facts.kit.people ?? []).map(one => [one.id, one.name])]);
    const client_id = crypto.randomUUID();
    const card = {
      client_id, account: facts.account, account_name: facts.name, tee: tee.id, tee_version: tee.version, tee_told: tee,
      holes_in_play: draft.holes, played_on: draft.day, order_in_day: Number(draft.order ?? 1),
      group: draft.group || null, group_name: facts.kit.groups?.find(one => one.id === draft.group)?.name ?? "", opened_at: new Date().toISOString(),
      players: players.map(id => ({id, name: names.get(id)})),
    };
    const done = await kept(async () => { await store.openCard(card); await store.remember({last_tee: tee.id, last_players: players}); return true; }, "the new card");
    if (!done) return;
    draft = {};
    location.hash = `#/${client_id}/${numbersOf(card.holes_in_play)[0]}`;
    lasting = await navigator.storage?.persist?.() ?? false;
  },
};

addEventListener("hashchange", () => { if (readRoute()) { draw(); scrollTo(0, 0); } });
if (navigator.storage?.persisted) navigator.storage.persisted().then(is => { if (is) lasting = true; });
navigator.serviceWorker?.register("/card/worker/", {scope: "/card/"}).catch(() => {
  shown(alarm, h("p", {class: "small"}, "This browser cannot open the page without a signal: keep it open on the course. What you tap is kept all the same."));
});
draw().then(() => outbox.start(draw));
