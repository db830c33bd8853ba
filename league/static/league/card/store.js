// What this phone keeps: cards, what waits to be sent, and what is needed to write without a signal.
// Every function is one transaction, flushed to the disk before it returns: what the screen says is kept, is kept.

import {closes, holeShown, holesShown, isClosed, isEmpty, numbersOf} from "./golf.js";

const NAME = "league-card";
let opening = null;

const asked = request => new Promise((done, failed) => {
  request.onsuccess = () => done(request.result);
  request.onerror = () => failed(request.error);
});

function opened() {
  opening ??= new Promise((done, failed) => {
    const request = indexedDB.open(NAME, 1);
    request.onupgradeneeded = () => {
      const db = request.result;
      db.createObjectStore("facts");
      db.createObjectStore("cards", {keyPath: "client_id"});
      db.createObjectStore("outbox", {keyPath: "seq", autoIncrement: true}).createIndex("card", "card");
    };
    request.onerror = () => { opening = null; failed(request.error); };
    request.onsuccess = () => {
      const db = request.result;
      // A tab that clears the device, or brings a newer form of this database, must not wait for the others.
      db.onversionchange = () => { db.close(); opening = null; };
      db.onclose = () => { opening = null; };
      done(db);
    };
  });
  return opening;
}

async function within(mode, work) {
  const db = await opened();
  const deed = db.transaction(["facts", "cards", "outbox"], mode, {durability: "strict"});
  const ended = new Promise((done, failed) => {
    deed.oncomplete = () => done();
    deed.onabort = () => failed(deed.error ?? new DOMException("not kept", "AbortError"));
  });
  const [facts, cards, outbox] = ["facts", "cards", "outbox"].map(name => deed.objectStore(name));
  let result;
  try {
    result = await work({facts, cards, outbox});
  } catch (fault) {
    try { deed.abort(); } catch { /* the browser aborted it already */ }
    await ended.catch(aborted => { if (aborted.name !== "AbortError") throw aborted; });
    throw fault;
  }
  await ended;
  return result;
}

const reading = work => within("readonly", work);
const writing = work => within("readwrite", work);
const rowsOf = async (outbox, card) => (await asked(outbox.index("card").getAll(card))).sort((a, b) => a.seq - b.seq);

/** What cannot be written now, in words for the person who tapped; nothing of it was kept. */
export class NotNow extends Error {}

/** A full phone, said as such; anything else is a fault of ours. */
export const isFull = fault => fault?.name === "QuotaExceededError" || fault?.inner?.name === "QuotaExceededError";

export const everything = () => reading(async ({facts, cards, outbox}) => {
  const [names, values, kept, rows] = await Promise.all(
    [facts.getAllKeys(), facts.getAll(), cards.getAll(), outbox.getAll()].map(asked));
  return {facts: Object.fromEntries(names.map((name, place) => [name, values[place]])), cards: kept, rows};
});
export const remember = given => writing(async ({facts}) => {
  for (const [name, value] of Object.entries(given)) await asked(facts.put(value, name));
});
export const device = () => writing(async ({facts}) => {
  const known = await asked(facts.get("device"));
  if (known) return known;
  const made = crypto.randomUUID();
  await asked(facts.put(made, "device"));
  return made;
});

// What a person does

export const openCard = card => writing(stores => putNew(stores, card));

async function putNew({cards, outbox}, card) {
  await asked(cards.add({...card, history: [], server: null, stored_at: null, refused: null}));
  await asked(outbox.add({account: card.account, card: card.client_id, kind: "card", tried: 0, key: card.client_id}));
}

/**
 * A card that the service has no more becomes `made`, one of whoever holds this phone: each hole of its people, as it is
 * shown, is a mark of it, two where two values stood. Resets go along; everything else of the old card goes.
 */
export const reopen = (id, made) => writing(async stores => {
  const {cards, outbox} = stores;
  const card = await asked(cards.get(id));
  if (!card) return false;
  const rows = await rowsOf(outbox, id);
  const all = holesShown(card, rows);
  await asked(cards.delete(id));
  await putNew(stores, {...made, ...card.resets && {resets: card.resets, reset_ids: card.reset_ids}});
  for (const {id: player} of made.players) for (const [number, hole] of all.get(player) ?? []) for (const value of valuesOf(hole)) {
    const mark = {client_id: crypto.randomUUID(), over: null, value, claimed_at: new Date().toISOString()};
    await asked(outbox.add({account: made.account, card: made.client_id, kind: "mark", tried: 0, player, number, mark}));
  }
  for (const row of rows)
    await asked(["reset", "unreset"].includes(row.kind) ? outbox.put({...row, card: made.client_id, held: null}) : outbox.delete(row.seq));
  return true;
});
const valuesOf = ({value, contested, waits}) => [...contested.map(one => one.value), (waits || !contested.length) && value].filter(Boolean);

/** Writes one hole: `change` makes the new value from the one that stands. NotNow where the line takes no more. */
export const writeHole = (id, player, number, change) => writing(async ({cards, outbox}) => {
  const card = await asked(cards.get(id));
  const rows = await rowsOf(outbox, id);
  refuseShut(card, rows, player, number);
  const {value: before, mark: over} = holeShown(holesShown(card, rows), player, number);
  const mark = await putMark({card, rows, outbox}, player, number, change(before));
  remembered(card, {player, number, before, over, mark});
  await asked(cards.put({...card, refused: null}));
});

function refuseShut(card, rows, player, number) {
  if (isClosed(card, player)) throw new NotNow(`This line was sent in, so hole ${number} was not changed. Correct the round on its own page.`);
  if (closes(card, player) && rows.some(one => one.kind === "send" && one.tried))
    throw new NotNow(`The card is on its way, so hole ${number} was not changed. Once it is stored, correct the round on its own page.`);
}

/** Whether a row may be written anew where it lies: it never left, or the service stored nothing of it. */
const isOurs = row => !row.tried || Boolean(row.held);

/** A value for a hole: in the place of one that is still ours, else behind whatever waits. Returns the mark's id. */
async function putMark({card, rows, outbox}, player, number, value) {
  const standing = holeShown(holesShown(card, rows), player, number);
  const here = rows.filter(one => (one.kind === "mark" || one.kind === "settle") && one.player === player && one.number === number);
  for (const one of here) if (one.kind === "settle" && one.held) await asked(outbox.delete(one.seq));
  const last = here.findLast(one => one.kind === "mark" || !one.held);
  const old = last?.kind === "mark" && isOurs(last) ? last : null;
  if (old && value === null) {
    const beneath = holeShown(holesShown(card, rows.filter(one => one !== old)), player, number);
    if (isEmpty(beneath.value)) return leaveNoTrace(outbox, old, beneath);
  }
  const mark = {client_id: crypto.randomUUID(), over: old ? old.mark.over : standing.mark, value, claimed_at: new Date().toISOString()};
  const row = {account: card.account, card: card.client_id, kind: "mark", tried: 0, player, number, mark};
  await asked(old ? outbox.put({...row, seq: old.seq}) : outbox.add(row));
  return mark.client_id;
}

/** What never left goes as if it had not been written: a cleared hole would stand against what others write there. */
async function leaveNoTrace(outbox, row, beneath) {
  await asked(outbox.delete(row.seq));
  return beneath.mark;
}

/** Notes that a reset was done after this hole; once. */
export const markReset = (id, number) => writing(async ({cards, outbox}) => {
  const card = await asked(cards.get(id));
  if (card.resets?.some(one => one.number === number)) return true;
  const key = crypto.randomUUID();
  await asked(outbox.add({account: card.account, card: id, kind: "reset", tried: 0, key, number, done_at: new Date().toISOString()}));
  remembered(card, {number, reset: key});
  await asked(cards.put({...card, resets: [...card.resets ?? [], {number, key}]}));
  return true;
});

/** A reset that nobody tried to send yet leaves no trace; any other is followed by its withdrawal, whatever became of it. */
async function putTakenBack({card, rows, outbox}, {reset: key}) {
  const made = card.resets?.find(one => one.key === key);
  if (!made) return;
  const row = rows.find(one => one.kind === "reset" && one.key === key);
  card.resets = card.resets.filter(one => one !== made);
  card.history = card.history.filter(one => one.reset !== key);
  if (row && isOurs(row)) await asked(outbox.delete(row.seq));
  else await asked(outbox.add({account: card.account, card: card.client_id, kind: "unreset", tried: 0, number: made.number, reset: key}));
}
export const takeBackReset = (id, number) => writing(async ({cards, outbox}) => {
  const card = await asked(cards.get(id));
  const made = card.resets?.find(one => one.number === number);
  if (made) await putTakenBack({card, rows: await rowsOf(outbox, id), outbox}, {reset: made.key});
  await asked(cards.put(card));
});

const LONGEST_HISTORY = 200;
function remembered(card, deed) {
  card.history.push(deed);
  if (card.history.length > LONGEST_HISTORY) card.history.shift();
}

/**
 * Takes back the last thing done on this phone; returns it, or null when there is none. `said`: why nothing was taken back,
 * for a step that cannot be any more; it is dropped.
 */
export const undo = id => writing(async ({cards, outbox}) => {
  const card = await asked(cards.get(id));
  const last = card.history.pop();
  if (!last) return null;
  const where = {card, rows: await rowsOf(outbox, id), outbox};
  const takeBack = last.reset ? putTakenBack : last.choice ? takeBackChoice : takeBackMark;
  const said = await takeBack(where, last);
  await asked(cards.put(card));
  return {...last, said};
});

/** Only while that mark stands: what another phone wrote, or a person chose, is nothing of this phone's to take back. */
async function takeBackMark({card, rows, outbox}, {player, number, before, over, mark, isDecided}) {
  if (isClosed(card, player)) return `Hole ${number} was sent in; nothing was taken back.`;
  refuseShut(card, rows, player, number);
  const standing = holeShown(holesShown(card, rows), player, number);
  if (isDecided || standing.mark !== mark || standing.contested.length) return `Hole ${number} was written on another phone too; nothing was taken back.`;
  const row = rows.find(one => one.kind === "mark" && one.mark.client_id === mark);
  const beneath = holeShown(holesShown(card, rows.filter(one => one !== row)), player, number);
  const isAlone = row && isOurs(row) && beneath.mark === over;
  const back = isAlone ? await leaveNoTrace(outbox, row, beneath) : await putMark({card, rows, outbox}, player, number, before);
  for (const step of card.history) if (step.player === player && step.number === number && step.mark === over) step.mark = back;
  return "";
}

async function takeBackChoice({card, rows, outbox}, {number, choice}) {
  const row = rows.find(one => one.key === choice);
  if (!row || !isOurs(row)) return `Two values stood for hole ${number}, and one was chosen; nothing was taken back.`;
  await asked(outbox.delete(row.seq));
  return "";
}

/** Where two values stood a person decides: the steps before that are taken back no more. */
function decided(card, isThere) {
  for (const step of card.history) if (isThere(step)) step.isDecided = true;
}
function withAnswer(card, given) {
  if (given.server) {
    const told = holesShown({...card, server: given.server}, []);
    decided(card, ({player, number}) => holeShown(told, player, number).contested.length);
  }
  return {...card, ...given};
}

/** A person chose one of two values of a hole; a choice that is still ours gives way. */
export const settle = (id, player, number, mark) => writing(async ({cards, outbox}) => {
  const card = await asked(cards.get(id));
  const rows = await rowsOf(outbox, id);
  refuseShut(card, rows, player, number);
  const {value} = holeShown(holesShown(card, rows), player, number).contested.find(one => one.mark === mark) ?? {};
  for (const one of rows) if (one.kind === "settle" && one.player === player && one.number === number && isOurs(one)) await asked(outbox.delete(one.seq));
  const key = crypto.randomUUID();
  decided(card, step => step.player === player && step.number === number);
  remembered(card, {player, number, choice: key});
  await asked(cards.put({...card, refused: null}));
  await asked(outbox.add({account: card.account, card: id, kind: "settle", tried: 0, key, player, number, mark, value}));
});

/** The wish to send the card in; one at a time. `body`: what was confirmed, and another tee. */
export const wishToSend = (id, body) => writing(async ({cards, outbox}) => {
  const card = await asked(cards.get(id));
  if ((await rowsOf(outbox, id)).some(one => one.kind === "send")) return;
  await asked(cards.put({...card, refused: null}));
  await asked(outbox.add({account: card.account, card: id, kind: "send", tried: 0, key: crypto.randomUUID(), body}));
});
/** Takes that wish back, while it did not leave. */
export const doNotSend = id => writing(async ({outbox}) => {
  const wish = (await rowsOf(outbox, id)).find(one => one.kind === "send");
  if (wish?.tried) throw new NotNow("The card is on its way already. Once it is stored, correct the round on its own page.");
  if (wish) await asked(outbox.delete(wish.seq));
});

export const changeCard = (id, given) => writing(async ({cards}) => {
  const card = await asked(cards.get(id));
  if (card) await asked(cards.put({...card, ...given}));
});
/** What a person gives up: rows that the service refused. */
export const forgetRows = (id, seqs) => writing(async ({cards, outbox}) => {
  const card = await asked(cards.get(id));
  for (const one of (await rowsOf(outbox, id)).filter(row => seqs.includes(row.seq))) {
    await asked(outbox.delete(one.seq));
    const others = (card.resets ?? []).filter(made => made.number !== one.number);
    if (one.kind === "reset") card.resets = others;
    if (one.kind === "unreset") card.resets = [...others, {number: one.number, key: one.reset}];
    const step = one.kind === "mark" ? one.mark.client_id : one.key;
    card.history = card.history.filter(it => ![it.mark, it.choice, it.reset].includes(step));
  }
  await asked(cards.put(card));
});
export const retryRows = id => writing(async ({outbox}) => {
  for (const one of await rowsOf(outbox, id)) if (one.held) await asked(outbox.put({...one, held: null}));
});
export const removeCard = id => writing(async ({cards, outbox}) => {
  for (const one of await rowsOf(outbox, id)) await asked(outbox.delete(one.seq));
  await asked(cards.delete(id));
});

// What the sending does

/** A card is sent in only when none of these waits on the phone any more, not even one that was refused. */
export const GOES_BEFORE_SEND = ["card", "mark", "settle"];

/**
 * Notes that these rows are about to leave, and returns them as they lie now: from here on they are only followed. What
 * was withdrawn or written otherwise since it was looked at, in another tab, does not leave.
 */
export const leaving = (seqs, isReady = () => true) => writing(async ({outbox}) => {
  const found = [];
  for (const seq of seqs) {
    const one = await asked(outbox.get(seq));
    if (!one || one.held || !isReady(one)) continue;
    await asked(outbox.put({...one, tried: one.tried + 1}));
    found.push(one);
  }
  return found;
});
/** The same for the wish to send, or null: it leaves last, and says at every later try what it said at the first. */
export const leavingSend = (id, seq) => writing(async ({cards, outbox}) => {
  const [card, rows] = [await asked(cards.get(id)), await rowsOf(outbox, id)];
  const wish = rows.find(one => one.seq === seq);
  if (!wish || (!wish.tried && rows.some(one => GOES_BEFORE_SEND.includes(one.kind)))) return null;
  const said = {
    ...card.reason && numbersOf(card.holes_in_play).length === 18 && {not_played_reason: card.reason},
    ...card.order_to_send && {order_in_day: card.order_to_send},
  };
  const left = {...wish, tried: wish.tried + 1, body: wish.tried ? wish.body : {...wish.body, ...said}};
  await asked(outbox.put(left));
  return left;
});
/** The service has them: rows go and its answer stays, both or neither. */
export const arrived = (id, seqs, given) => writing(async ({cards, outbox}) => {
  for (const seq of seqs) await asked(outbox.delete(seq));
  const card = await asked(cards.get(id));
  if (card) await asked(cards.put(withAnswer(card, given)));
});
/** The service stored nothing of these. A mark that was written over meanwhile gives way to the later one. */
export const hold = (id, seqs, held) => writing(async ({outbox}) => {
  const rows = await rowsOf(outbox, id);
  for (const one of rows.filter(row => seqs.includes(row.seq))) {
    const later = one.kind === "mark" && rows.find(row => row.kind === "mark" && row.mark.over === one.mark.client_id);
    if (later) {
      later.mark = {...later.mark, over: one.mark.over};
      await asked(outbox.put(later));
      await asked(outbox.delete(one.seq));
    } else await asked(outbox.put({...one, held}));
  }
});
const hasStrokes = (card, rows) => rows.some(one => one.kind === "mark" && one.mark.value)
  || [...holesShown(card, rows).get(card.account)?.values() ?? []].some(hole => valuesOf(hole).length);
export const rowsFor = id => reading(({outbox}) => rowsOf(outbox, id));
export const cardOf = id => reading(({cards}) => asked(cards.get(id)));
/** A card that another phone opened, or what became of one that is here. */
export const takeIn = (account, name, told, known) => writing(async ({cards}) => {
  const card = await asked(cards.get(told.client_id));
  if (card && card.account !== account) return;
  const held = {history: [], refused: null, ...card, ...known(told), away: null};
  await asked(cards.put(withAnswer(held, {account, account_name: name, server: told, stored_at: card?.stored_at ?? Date.now()})));
});
/**
 * The resets of one's own line as the journal has them, from whichever phone: [{number, key, id}]. What waits on this phone
 * goes over them: a mark that was not stored yet stays, one that is being taken back stays away.
 */
export const takeInResets = (id, marked) => writing(async ({cards, outbox}) => {
  const card = await asked(cards.get(id));
  if (!card) return;
  const rows = await rowsOf(outbox, id);
  const goes = new Set(rows.filter(one => one.kind === "unreset").map(one => one.reset));
  const comes = new Set(rows.filter(one => one.kind === "reset").map(one => one.key));
  const known = new Set(marked.map(one => one.key));
  const resets = [...marked.filter(one => !goes.has(one.key)).map(({number, key}) => ({number, key})),
    ...(card.resets ?? []).filter(one => comes.has(one.key) && !known.has(one.key))];
  await asked(cards.put({...card, resets, reset_ids: {...card.reset_ids, ...Object.fromEntries(marked.map(one => [one.key, one.id]))}}));
});
/**
 * A card that is done leaves the phone, unless something of it still waits for a person or a signal. One that the service
 * has no more (`away`: {by, is}) stays with the strokes of whoever holds the phone, for them to decide.
 */
export const letGo = (id, sent, away = null) => writing(async ({facts, cards, outbox}) => {
  const card = await asked(cards.get(id));
  const rows = await rowsOf(outbox, id);
  if (card && away && hasStrokes(card, rows)) {
    await asked(cards.put({...card, away}));
    return false;
  }
  if (rows.length) return false;
  await asked(cards.delete(id));
  if (sent) await asked(facts.put(sent, "sent"));
  return true;
});

/** The phone forgets everything of this service. */
export async function clearDevice() {
  await writing(async ({facts, cards, outbox}) => {
    for (const store of [facts, cards, outbox]) await asked(store.clear());
  });
}
