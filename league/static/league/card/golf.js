// What a card says, worked out from values alone: no storage, no network, no page.

const NINE = n => Array.from({length: 9}, (_, place) => place + n);
const WORDS = ["no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
  "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen"];
export const inWords = n => WORDS[n] ?? String(n);
export const counted = (n, one, many = `${one}s`) => `${inWords(n)} ${n === 1 ? one : many}`;
const ORDER = ["", "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth"];
export const inOrder = n => ORDER[n] ?? `${n}th`;
export const capital = text => text.charAt(0).toUpperCase() + text.slice(1);

/** The numbers of the holes in play, in order. */
export function numbersOf(holesInPlay) {
  if (holesInPlay === "front" || holesInPlay === "nine") return NINE(1);
  if (holesInPlay === "back") return NINE(10);
  return [...NINE(1), ...NINE(10)];
}

/** The tee's hole of that number; the second time round a course of nine it is the hole of the first. */
export const holeOf = (tee, number) =>
  tee.holes.find(one => one.number === number) ?? tee.holes.find(one => one.number === number - 9) ?? {number};

export const nameOf = (card, player) => card.players.find(one => one.id === player)?.name ?? "";
export const isEmpty = value => !value || (value.strokes == null && !value.picked_up);

/** Why a mark cannot be sent as it stands, or "". The same checks as where it is stored. */
export function unsound(value) {
  if (!value) return "";
  const {strokes, putts, penalties, strokes_from_60: near, first_putt_beyond_20ft: isFar, picked_up: up} = value;
  if (strokes == null && !up) return "Strokes are still missing; until then this hole stays on the phone.";
  if (putts > strokes) return "More putts than strokes: one of the two needs a look.";
  if (penalties >= strokes) return "Penalty strokes are part of the strokes, so there are fewer of them.";
  if (near > strokes) return "More strokes from inside 60 yards than strokes.";
  if (near != null && near < putts) return "The strokes from inside 60 yards include the putts.";
  if (isFar && putts === 0) return "There was no putt, so no first putt.";
  return "";
}

/** player -> number -> {value, mark, contested, waits, held}: what the service said last, then what waits on this phone. */
export function holesShown(card, rows) {
  const all = new Map();
  for (const {id} of card.players) all.set(id, new Map());
  for (const line of card.server?.lines ?? []) {
    const holes = all.get(line.player) ?? new Map();
    all.set(line.player, holes);
    for (const {number, value, mark, contested} of line.holes ?? [])
      holes.set(number, {value, mark, contested: contested ?? [], waits: false, held: null});
  }
  for (const row of rows) {
    if (row.kind === "mark") {
      const {value, client_id: mark} = row.mark;
      const contested = all.get(row.player)?.get(row.number)?.contested ?? [];
      all.get(row.player)?.set(row.number, {value, mark, contested, waits: true, held: row.held ?? null});
    }
    if (row.kind === "settle") {
      const before = all.get(row.player)?.get(row.number);
      const chosen = before?.contested.find(one => one.mark === row.mark);
      if (chosen) all.get(row.player).set(row.number, {value: chosen.value, mark: chosen.mark, contested: [], waits: true, held: row.held ?? null});
    }
  }
  return all;
}

/** The line as the service told it last; a line is "open" until it was sent in. */
export const lineOf = (card, player) => card.server?.lines.find(one => one.player === player) ?? null;
/** Whether sending the card in closes this line: one's own, and all of a card that one opened. */
export const closes = (card, player) => player === card.account || (card.server?.opened_by ?? card.account) === card.account;
export const isClosed = (card, player) => (lineOf(card, player)?.state ?? "open") !== "open";

export const NOTHING = {value: null, mark: null, contested: [], waits: false, held: null};
export const holeShown = (all, player, number) => all.get(player)?.get(number) ?? NOTHING;

/**
 * How a player stands against personal pars: {n, used, due, left, toGo} or null when there is nothing to say: no barrier,
 * or a hole picked up, whose strokes nobody knows. `pars`: number -> personal par.
 */
export function stand(holes, numbers, pars, barrier) {
  if (!pars || numbers.length !== 18 || numbers.some(number => !(pars[number] > 0))) return null;
  const written = numbers.filter(number => !isEmpty(holes.get(number)?.value));
  if (written.some(number => holes.get(number).value.strokes == null)) return null;
  const sum = of => written.reduce((total, number) => total + of(number), 0);
  const used = sum(number => holes.get(number).value.strokes);
  const due = sum(number => pars[number]);
  return {n: written.length, used, due, left: barrier - 1 - used, toGo: 18 - written.length};
}

/** "level", "one in hand", "two over": nothing else describes how a round stands. */
export function against(used, due) {
  if (used === due) return "level";
  return used < due ? `${inWords(due - used)} in hand` : `${inWords(used - due)} over`;
}

export function standWords({n, used, due, left, toGo}) {
  if (!n) return `${left} strokes for ${counted(toGo, "hole")}.`;
  const first = `After ${counted(n, "hole")} you have used ${used}; due ${due}, ${against(used, due)}.`;
  if (left < 0) return first;
  return toGo ? `${first} ${left} left for ${counted(toGo, "hole")}.` : first;
}

export const totalOf = holes => [...holes?.values() ?? []].reduce((total, {value}) => total + (value?.strokes ?? 0), 0);

export const valueWords = value =>
  !value ? "nothing" : value.picked_up && value.strokes == null ? "picked up" : [
    value.strokes != null ? String(value.strokes) : "no strokes",
    value.putts != null ? counted(value.putts, "putt") : "",
    value.penalties ? counted(value.penalties, "penalty stroke") : "",
  ].filter(Boolean).join(", ");

export const clock = moment => new Date(moment).toLocaleTimeString("en-GB", {hour: "2-digit", minute: "2-digit"});
export const dayWords = day => new Date(`${day}T12:00:00`).toLocaleDateString("en-GB", {day: "numeric", month: "long"});
export function today() {
  const now = new Date();
  return new Date(now.getTime() - now.getTimezoneOffset() * 60000).toISOString().slice(0, 10);
}
