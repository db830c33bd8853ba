// Sends what waits, each thing once, and the wish to send the card in last of all.
//
// Rows of a card: "card", "mark", "settle", "send", "reset", "unreset". A row is untried until it first leaves; from then
// on nobody knows whether the service has it, until an answer came. An answer that took it ends the row; one that refused
// it holds the row for a person to decide, and the service then stored nothing of it. What always holds:
//
// 1. Once. Every row has an id made at the tap and goes under that id until an answer came: after a lost answer, a 401, a
//    busy service, a killed browser. What it says does not change from its first leaving on.
// 2. What is untried or held is still the phone's: it is written anew in its place, or withdrawn without a trace. What is
//    tried is only followed by another row.
// 3. Order. The card before all else; of one hole, marks and choices as they were made; a taken-back reset behind its reset.
// 4. The wish to send has no place in the queue. It leaves when no card, mark or choice waits any more, not even one that
//    was refused or that misses something: a round is never made of less than what the person sees. Until it leaves it can
//    be withdrawn, what is written goes along, and the reason for missing holes is read at that moment.
// 5. After it left, the lines that it closes take no tap until an answer came: stored, or refused with words.
// 6. A row is looked at again in the transaction that notes its leaving, so that another tab's change counts.
// 7. One sender: tabs take turns by a lock. Right person: the token sent along belongs to the sign-in that was asked who
//    it is, and ends with it.

import {unsound} from "./golf.js";
import * as store from "./store.js";

const API = "/api/v1/";
const BATCH = 40;
const LONGEST_WAIT = 60_000;
const TAPS_TOGETHER = 400; // milliseconds: strokes and putts of one hole leave as one
const FRESH_FOR = 60_000; // milliseconds until what others wrote is asked for again
const others = new BroadcastChannel("league-card");
export const state = {is: "idle", who: null, until: 0};
let told = () => {};
let again = 0;
let failures = 0;
let isAsked = false;
let isBusy = false;
let soon = 0;
let freshAt = 0;

class Later extends Error {
  constructor(why, seconds = 0) { super(why); this.why = why; this.seconds = seconds; }
}

export function start(listener) {
  told = listener;
  others.onmessage = () => told();
  addEventListener("online", look);
  addEventListener("offline", () => { state.is = "offline"; told(); });
  document.addEventListener("visibilitychange", () => { if (!document.hidden) look(); });
  setInterval(() => { if (!document.hidden && navigator.onLine) kick(); }, FRESH_FOR);
  look();
}

/** Something was written here: other tabs draw it too, and it leaves as soon as it can. */
export function changed() {
  others.postMessage("changed");
  clearTimeout(soon);
  soon = setTimeout(kick, TAPS_TOGETHER);
}

/** Sends, and asks what is new there. */
function look() {
  freshAt = 0;
  kick();
}

export function kick() {
  clearTimeout(again);
  isAsked = true;
  if (!isBusy) run();
}

async function run() {
  isBusy = true;
  while (isAsked) {
    isAsked = false;
    try {
      await (navigator.locks ? navigator.locks.request("league-card-outbox", sendAll) : sendAll());
      failures = 0;
      state.is = "idle";
    } catch (fault) {
      failures += 1;
      state.is = fault instanceof Later ? fault.why : store.isFull(fault) ? "full" : "trouble";
      if (!(fault instanceof Later)) console.warn(fault);
      const wait = Math.max((fault.seconds ?? 0) * 1000, Math.min(LONGEST_WAIT, 1000 * 2 ** Math.min(failures, 7)));
      if (state.is !== "signed out") again = setTimeout(kick, wait);
    }
    others.postMessage("changed");
    told();
  }
  isBusy = false;
}

// The service

async function fetched(path, options = {}) {
  let answer;
  try {
    answer = await fetch(path, {credentials: "same-origin", cache: "no-store", signal: AbortSignal.timeout(20_000), ...options});
  } catch {
    throw new Later("offline");
  }
  if (answer.status === 429 || answer.status >= 500) throw new Later("trouble", Number(answer.headers.get("Retry-After")) || 0);
  return answer;
}

async function askWho() {
  const answer = await fetched("/card/who/");
  if (answer.status === 401) throw new Later("signed out");
  if (!answer.ok) throw new Later("trouble");
  return answer.json();
}

/** {status, body}; the sign-in that was asked is the one that sends, or nothing is sent. */
async function ask(who, method, path, body, key) {
  const headers = {"Accept": "application/json"};
  if (method !== "GET") headers["X-CSRFToken"] = who.csrf;
  if (body !== undefined) headers["Content-Type"] = "application/json";
  if (key) headers["Idempotency-Key"] = key;
  const answer = await fetched(API + path, {method, headers, body: body === undefined ? undefined : JSON.stringify(body)});
  if (answer.status === 401) throw new Later("signed out");
  let read = null;
  try { read = await answer.json(); } catch { /* an answer cut short: asked again under the same id */ }
  if (read === null && answer.ok && answer.status !== 204) throw new Later("offline");
  if (answer.status === 403 && read?.code === "csrf") throw new Later("changed hands", 1);
  if (answer.status === 409 && read?.code === "key_busy") throw new Later("trouble", 5);
  return {status: answer.status, ok: answer.ok, body: read ?? {}};
}

// One turn

async function sendAll() {
  const before = await store.everything();
  if (!before.rows.length && !navigator.onLine) throw new Later("offline");
  const who = await askWho();
  state.who = who;
  if (before.facts.account !== who.player) await store.remember({account: who.player, name: who.name, kit: null, routine: null, meant: null, sent: null});
  const mine = before.cards.filter(card => card.account === who.player);
  let stopped = null;
  for (const card of mine) {
    state.is = "sending";
    try {
      while (await step(who, card.client_id)) told();
    } catch (fault) {
      if (!(fault instanceof Later) || fault.why !== "trouble") throw fault;
      stopped = fault; // one card that the service cannot take now does not hold back the others
    }
  }
  if (Date.now() - freshAt >= FRESH_FOR) {
    await refresh(who);
    freshAt = Date.now();
  }
  if (stopped) throw stopped;
}

const isSound = row => row.kind === "mark" && !unsound(row.mark.value);
const isOfOneHole = (one, other) => one.player === other.player && one.number === other.number;

/** Sends the next thing of a card; false when nothing more can leave now. */
async function step(who, id) {
  const [card, rows] = [await store.cardOf(id), await store.rowsFor(id)];
  if (!card) return false;
  const free = rows.filter(row => !row.held);
  const wish = free.find(row => row.kind === "send");
  const opening = rows.find(row => row.kind === "card");
  if (opening && !opening.held) return sendCard(who, card, opening);
  if (!opening && card.server && !card.away) {
    // A wish that left once may be done already: its own lines take nothing more, so nothing of them goes before it.
    if (wish?.tried) return sendIn(who, card, wish);
    const ready = free.filter(row => !free.some(one => one.seq < row.seq && one.kind !== row.kind && isOfOneHole(one, row)));
    const marks = ready.filter(isSound);
    if (marks.length) return sendMarks(who, card, marks.slice(0, BATCH));
    const choice = ready.find(row => row.kind === "settle");
    if (choice) return sendSettlement(who, card, choice);
    if (wish && !rows.some(row => store.GOES_BEFORE_SEND.includes(row.kind))) return sendIn(who, card, wish);
  }
  const reset = free.find(row => row.kind === "reset" || row.kind === "unreset");
  if (!card.server || !reset) return false;
  return reset.kind === "reset" ? sendReset(who, card, reset) : sendTakenBack(who, card, reset, rows);
}

const heldBy = ({status, body}) => ({code: body.code ?? String(status), detail: body.detail ?? "The service refused it.", errors: body.errors ?? []});

async function sendCard(who, card, waiting) {
  const [row] = await store.leaving([waiting.seq]);
  if (!row) return true;
  const {client_id, tee, tee_version, holes_in_play, played_on, order_in_day, group, players} = card;
  const body = {client_id, tee, tee_version, holes_in_play, played_on, order_in_day, players: players.map(one => one.id)};
  if (group) body.group = group;
  const answer = await ask(who, "POST", "cards/", body, row.key);
  if (answer.ok) await store.arrived(card.client_id, [row.seq], {server: answer.body, stored_at: Date.now()});
  else await store.hold(card.client_id, [row.seq], heldBy(answer));
  return answer.ok;
}

async function sendMarks(who, card, waiting) {
  const rows = await store.leaving(waiting.map(row => row.seq), isSound);
  if (!rows.length) return true;
  const lineOf = player => card.server.lines.find(line => line.player === player)?.id ?? null;
  const marks = rows.map(row => ({...row.mark, line: lineOf(row.player), number: row.number}));
  const answer = await ask(who, "POST", `cards/${card.server.id}/marks/`, {device: await store.device(), marks});
  if (answer.ok) {
    await store.arrived(card.client_id, rows.map(row => row.seq), {server: answer.body, stored_at: Date.now()});
    return true;
  }
  const named = new Set((answer.body.errors ?? []).map(one => /^marks\.(\d+)/.exec(one.field)?.[1]).filter(Boolean).map(Number));
  const at = rows.filter((row, place) => named.has(place));
  await store.hold(card.client_id, (at.length ? at : rows).map(row => row.seq), heldBy(answer));
  freshAt = 0; // what stands there instead is shown beside it
  return at.length > 0;
}

async function sendSettlement(who, card, waiting) {
  const [row] = await store.leaving([waiting.seq]);
  if (!row) return true;
  const line = card.server.lines.find(one => one.player === row.player)?.id ?? null;
  const answer = await ask(who, "POST", `cards/${card.server.id}/settlements/`, {line, number: row.number, mark: row.mark}, row.key);
  if (answer.ok) await store.arrived(card.client_id, [row.seq], {server: answer.body, stored_at: Date.now()});
  else await store.hold(card.client_id, [row.seq], heldBy(answer));
  if (!answer.ok) freshAt = 0; // settled otherwise meanwhile: a person sees how before the card is sent in
  return true;
}

async function sendIn(who, card, wish) {
  const row = await store.leavingSend(card.client_id, wish.seq);
  if (!row) return true;
  const answer = await ask(who, "POST", `cards/${card.server.id}/send/`, row.body ?? {}, row.key);
  if (answer.ok) await store.arrived(card.client_id, [row.seq], {server: answer.body, stored_at: Date.now(), refused: null});
  else await store.arrived(card.client_id, [row.seq], {refused: heldBy(answer)});
  freshAt = 0; // what is sent leaves the list of open cards; a tee that changed is looked up
  return true;
}

async function sendReset(who, card, waiting) {
  const [row] = await store.leaving([waiting.seq]);
  if (!row) return true;
  const line = card.server.lines.find(one => one.player === who.player)?.id ?? null;
  const answer = await ask(who, "POST", "journal/resets/", {client_id: row.key, line, round: null, hole: row.number, done_at: row.done_at}, row.key);
  // Under this id it is taken back, when that is asked for later.
  if (answer.ok) await store.arrived(card.client_id, [row.seq], {reset_ids: {...card.reset_ids, [row.key]: answer.body.id}});
  else await store.hold(card.client_id, [row.seq], heldBy(answer));
  return answer.ok;
}

/** Leaves after the reset it takes back, so its id is known. The service keeps the key: a copy that comes late makes nothing. */
async function sendTakenBack(who, card, waiting, rows) {
  const [row] = await store.leaving([waiting.seq]);
  if (!row) return true;
  const [id, refused] = [card.reset_ids?.[row.reset], rows.filter(one => one.held && one.key === row.reset)];
  const answer = id ? await ask(who, "DELETE", `journal/resets/${id}/`) : {ok: true};
  if (answer.ok || answer.status === 404) await store.arrived(card.client_id, [row, ...refused].map(one => one.seq), {});
  else await store.hold(card.client_id, [row.seq], heldBy(answer));
  return answer.ok || answer.status === 404;
}

// What is new there

const cardFrom = told => ({
  client_id: told.client_id, tee: told.tee, tee_version: told.tee_version, holes_in_play: told.holes_in_play,
  played_on: told.played_on, order_in_day: told.order_in_day ?? 1, group: told.group ?? null,
  players: told.lines.map(line => ({id: line.player, name: line.name})),
});

function resetsOf(told, marks, me) {
  const line = told.lines.find(one => one.player === me)?.id;
  return marks.filter(one => line && one.line === line && one.hole).map(one => ({number: one.hole, key: one.client_id, id: one.id}));
}

async function refresh(who) {
  const kit = await ask(who, "GET", "cards/kit/");
  if (kit.ok) await store.remember({kit: kit.body, kit_at: Date.now(), name: who.name});
  const list = await ask(who, "GET", "cards/");
  if (!list.ok) return;
  // The reset's words and what was meant the evening before are of the journal of whoever is signed in: like the kit they
  // leave the phone with that account.
  const routine = await ask(who, "GET", "journal/routine/");
  if (routine.ok) await store.remember({routine: routine.body});
  const meant = await ask(who, "GET", "journal/intentions/?page_size=10");
  if (meant.ok) await store.remember({meant: meant.body.results});
  const resets = await ask(who, "GET", "journal/resets/?page_size=100");
  const open = new Set();
  for (const told of list.body.results) {
    open.add(told.id);
    await store.takeIn(who.player, who.name, told, cardFrom);
    if (resets.ok) await store.takeInResets(told.client_id, resetsOf(told, resets.body.results, who.player));
  }
  const {cards} = await store.everything();
  const nameOf = id => kit.ok ? kit.body.people?.find(one => one.id === id)?.name : null;
  for (const card of cards.filter(one => one.account === who.player && one.server && !open.has(one.server.id))) await close(who, card, nameOf);
}

/** A card that is no longer open: sent from here, from another phone, or dropped. */
async function close(who, card, nameOf) {
  const {ok, status, body} = await ask(who, "GET", `cards/${card.server.id}/`);
  if (!ok && status !== 404) return;
  if (ok && body.state === "open") return;
  if (ok) await store.changeCard(card.client_id, {server: body});
  const line = ok ? body.lines.find(one => one.player === who.player) : null;
  await store.letGo(card.client_id, ok ? sentNote(card, body, line) : {is: "gone", played_on: card.played_on}, awayNote(who, ok ? body : null, line, nameOf));
}

/** Why a card is at the service no more, so that its strokes stay here: {is, by: a name or ""}; null for one that was sent. */
function awayNote(who, body, line, nameOf) {
  if (!body) return {is: "gone", by: ""};
  if (body.state !== "dropped" && line?.state !== "declined") return null;
  const by = body.opened_by === who.player ? "You" : body.lines.find(one => one.player === body.opened_by)?.name ?? nameOf(body.opened_by) ?? "";
  return body.state === "dropped" ? {is: "dropped", by} : {is: "closed", by: ""};
}

const sentNote = (card, told, line) => ({
  is: told.state, at: Date.now(), played_on: card.played_on, order_in_day: line ? card.order_in_day : null, card: told.id, line: line?.id ?? null, state: line?.state ?? null, round: line?.round ?? null,
  waits: told.lines.filter(one => one.state === "waits" && one !== line).map(one => one.name),
});

/** The yes or no to what a scorer sent in for the one who holds this phone; the problem's words, or "" when it is done. */
export async function answerFor(sent, answer) {
  try {
    const who = await askWho();
    const {ok, body} = await ask(who, "POST", `cards/${sent.card}/lines/${sent.line}/answer/`, {answer}, `${sent.line}-${answer}`);
    if (!ok) return [body.detail, ...(body.errors ?? []).map(one => one.message)].join(" ");
    await store.remember({sent: sentNote(sent, body, body.lines.find(one => one.id === sent.line))});
    return "";
  } catch {
    return "That needs a signal and a sign-in. Nothing was changed.";
  }
}

/**
 * Takes a card away, at the service first and then from this phone; the words why not, or "" when it is gone. Nothing
 * else is sent meanwhile. Where the answer to its opening was lost, it is asked for again under its key: it may be there.
 */
export async function drop(id) {
  try {
    return await (navigator.locks ? navigator.locks.request("league-card-outbox", () => dropNow(id)) : dropNow(id));
  } catch (fault) {
    if (fault instanceof Later) return `It was not taken away: ${NOT_DROPPED[fault.why] ?? "the service is busy; try it again soon."}`;
    throw fault;
  }
}
const NOT_DROPPED = {
  offline: "the service has it or may have it, so that needs a signal.",
  "signed out": "the service has it or may have it, so that needs a sign-in.",
};

async function dropNow(id) {
  const opening = (await store.rowsFor(id)).find(row => row.kind === "card");
  if ((await store.cardOf(id))?.server || opening?.tried) {
    const who = await askWho();
    if (who.player !== (await store.cardOf(id)).account) return "Another person is signed in on this phone now. Nothing was taken away.";
    if (opening && !opening.held) await sendCard(who, await store.cardOf(id), opening);
    const {server} = await store.cardOf(id);
    const refused = server && await deleted(who, `cards/${server.id}/`);
    if (refused) return refused;
  }
  await store.removeCard(id);
  return "";
}

async function deleted(who, path) {
  const read = await fetched(API + path);
  if (read.status === 401) throw new Later("signed out");
  if (read.status === 404) return "";
  const answer = await fetched(API + path, {method: "DELETE", headers: {"Accept": "application/json", "X-CSRFToken": who.csrf, "If-Match": read.headers.get("ETag") ?? "*"}});
  if (answer.status === 401) throw new Later("signed out");
  if (answer.ok || answer.status === 404) return "";
  const {detail, errors} = heldBy({status: answer.status, body: await answer.json().catch(() => ({}))});
  return [detail, ...errors.map(one => one.message)].join(" ");
}
