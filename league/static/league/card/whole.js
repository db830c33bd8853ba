// All holes of all players, and sending them in.

import {button, h, row} from "./dom.js";
import {against, capital, holeOf, holeShown, inOrder, isClosed, isEmpty, stand, standWords, totalOf, unsound, valueWords} from "./golf.js";
import {closed} from "./hole.js";
import {budgetOf, isValid, teeOf} from "./kit.js";

const REASONS = {"": "say why", light: "failing light", weather: "weather", injury: "injury", illness: "illness", decided: "match already decided", closed: "hole closed"};

export function wholeScreen(shared) {
  const {card, who} = shared;
  return [
    row("Whole card", table(shared), h("p", {class: "small"}, "A point after a figure: on this phone only."),
      h("p", {id: "kept", role: "status"}, who.words, who.link && [" ", h("a", {href: who.link[0]}, who.link[1])])),
    who.decide,
    !card.away && [card.refused && refusal(shared), row("Send", sending(shared)), removal(shared)],
  ];
}

function table({card, all, numbers, tee, kit, me}) {
  const budget = numbers.length === 18 && card.players.some(one => one.id === me) ? budgetOf(kit, card) : null;
  let used = 0, due = 0, isKnown = Boolean(budget);
  const lines = numbers.map(number => {
    const own = holeShown(all, me, number).value;
    const isWritten = !isEmpty(own);
    if (budget) due += budget.pars[number] ?? 0;
    if (isWritten && own.strokes == null) isKnown = false;
    if (isWritten) used += own.strokes ?? 0;
    const {par} = holeOf(tee ?? {holes: []}, number);
    return h("tr", {}, h("th", {scope: "row"}, h("a", {href: `#/${card.client_id}/${number}`}, String(number))),
      h("td", {class: "n"}, par ? String(par) : ""),
      budget && h("td", {class: "n acc"}, String(budget.pars[number] ?? "")),
      card.players.map(one => cell(holeShown(all, one.id, number))),
      budget && card.players.length === 1 && h("td", {class: isWritten ? "" : "quiet"}, !isKnown || card.is_quiet ? "" : isWritten ? against(used, due) : `due ${due}`));
  });
  const isMany = card.players.length > 1;
  const short = isMany ? initials(card.players) : card.players.map(one => one.name);
  const heads = ["Hole", "Par", budget && "Yours", ...short.map((words, place) => h("bdi", {}, isMany ? h("abbr", {title: card.players[place].name}, words) : words)), budget && !isMany && "Against due"].filter(Boolean);
  const now = isMany && budget && isKnown && !card.is_quiet && stand(all.get(me) ?? new Map(), numbers, budget.pars, budget.barrier);
  return [h("div", {class: "scroll", tabindex: "0", role: "region", "aria-label": "All holes of this card"}, h("table", {class: "threes whole"},
    h("thead", {}, h("tr", {}, heads.map((words, place) => h("th", {scope: "col", class: place && words !== "Against due" ? "n" : ""}, words)))),
    h("tbody", {}, lines),
    h("tfoot", {}, h("tr", {}, h("th", {scope: "row"}, isMany ? "Sum" : "Written"), h("td"), budget && h("td"),
      card.players.map(one => h("td", {class: "n"}, String(totalOf(all.get(one.id))))), budget && !isMany && h("td"))))),
  isMany && h("p", {class: "small"}, card.players.map((one, place) => [place > 0 && ", ", h("b", {}, short[place]), " ", h("bdi", {}, one.name)])),
  now && h("p", {}, standWords(now))];
}

/** Short heads, each another: the first letters of the names, with a figure where two are alike. */
export function initials(players) {
  const seen = new Map();
  return players.map(({name}) => {
    const letters = name.split(/\s+/).filter(Boolean).map(word => [...word][0]).slice(0, 3).join("").toUpperCase() || "–";
    const n = (seen.get(letters) ?? 0) + 1;
    seen.set(letters, n);
    return n > 1 ? letters + n : letters;
  });
}

function cell({value, contested, waits}) {
  const figure = one => valueWords({strokes: one?.strokes, picked_up: one?.picked_up});
  return h("td", {class: "n"}, contested.length ? contested.map(one => figure(one.value)).join(" or ") : isEmpty(value) ? "" : String(value.strokes ?? "up"),
    waits && h("span", {class: "waits"}, h("span", {"aria-hidden": "true"}, "·"), h("span", {class: "vh"}, " on this phone only")));
}

/** Where other rounds of one's own are known on that day: {places, chosen}; whoever stood at the chosen place moves on by one. */
function dayOf({card, cards, kit, me}) {
  const stored = kit?.days_played?.find(one => one.played_on === card.played_on)?.orders_in_day ?? [];
  const others = cards.filter(one => one.client_id !== card.client_id && !one.away && one.account === me && one.played_on === card.played_on && one.players.some(player => player.id === me));
  if (!card.players.some(one => one.id === me) || !(stored.length + others.length)) return null;
  const next = Math.max(...stored, ...others.map(one => one.order_in_day), card.order_in_day - 1) + 1;
  const own = card.order_to_send ?? (stored.includes(card.order_in_day) ? next : card.order_in_day);
  return {places: Array.from({length: Math.min(next, 9)}, (_, place) => place + 1), chosen: Math.min(own, 9)};
}

function sending(shared) {
  const {card, all, numbers, rows, acts, me} = shared;
  if (isClosed(card, me)) return closed(card, me, true);
  const wish = rows.find(one => one.kind === "send");
  if (wish?.tried) return h("p", {}, "It is on its way, and nothing is changed on it now. Once it is stored, the round itself can be corrected.");
  const open = card.players.filter(one => !isClosed(card, one.id));
  const missing = open.filter(one => numbers.some(number => isEmpty(holeShown(all, one.id, number).value)));
  const unsettled = [...new Set(open.flatMap(one => numbers.filter(number => holeShown(all, one.id, number).contested.length)))];
  const unready = [...new Set(rows.filter(one => one.kind === "mark" && unsound(one.mark.value)).map(one => one.number))];
  const ready = !unsettled.length && !unready.length && !rows.some(one => one.held);
  const reason = h("select", {id: "reason", change: event => acts.reason(event.target.value)}, Object.entries(REASONS).map(([value, words]) => h("option", {value}, words)));
  reason.value = card.reason ?? "";
  const day = dayOf(shared);
  const order = day && h("select", {id: "order", change: event => acts.order(Number(event.target.value))}, day.places.map(one => h("option", {value: String(one)}, capital(inOrder(one)))));
  if (day) order.value = String(day.chosen);
  return [
    missing.length > 0 && h("p", {}, `${missing.map(one => one.name).join(", ")}: holes left empty count as not played.`),
    missing.length > 0 && numbers.length === 18 && h("div", {class: "field"}, h("label", {for: "reason"}, "Why holes were not played"), reason),
    order && h("div", {class: "field"}, h("label", {for: "order"}, "Which round of that day"), h("p", {class: "hint"}, "You have another one on that day. They count in the order in which they were played."), order),
    unsettled.length > 0 && h("p", {class: "warn"}, `Two values wait for a choice: hole ${unsettled.join(", ")}.`),
    unready.length > 0 && h("p", {class: "warn"}, `Something is missing on hole ${unready.join(", ")}.`),
    wish && h("p", {}, ready ? "It leaves as soon as there is a signal. What you still change goes with it." : "It is not sent before that is cleared up."),
    h("p", {class: "acts"}, wish ? button("unsend", "Do not send yet", acts.unsend) : ready && button("send", "Send the card", () => acts.send(bodyOf(shared)), "btn"), button("undo", "Undo", acts.undo)),
    h("p", {class: "small"}, "Your line becomes a round, and so do those of guests you keep. Others are asked for their yes. Sending twice changes nothing."),
  ];
}

const bodyOf = shared => {
  const order = dayOf(shared)?.chosen;
  return order ? {order_in_day: order} : {};
};

/** What the service said to the wish to send; where the tee is another now, both versions side by side. */
function refusal(shared) {
  const {card, kit, acts} = shared;
  const {refused} = card;
  const said = h("div", {class: "notice"}, h("p", {}, refused.detail), h("ul", {}, (refused.errors ?? []).map(one => h("li", {}, one.message))));
  if (refused.code !== "card_tee_changed") return row("Not sent", said);
  const [before, now] = [card.tee_told?.id === card.tee ? card.tee_told : null, teeOf(kit, card.tee)];
  const same = kit?.tees?.filter(one => one.id !== card.tee && now && one.course.id === now.course.id && isValid(one, card.played_on)) ?? [];
  const body = bodyOf(shared);
  return row("Not sent", said,
    before && now && h("p", {}, `When the card was opened: ${rating(before)}. Now: ${rating(now)}.`),
    h("p", {class: "acts"}, button("confirm-tee", "Send it with the tee as it is now", () => acts.send({...body, confirm: ["card_tee_changed"]})),
      same.map(one => button(`tee-${one.id}`, `Send it for the ${one.name} tee`, () => acts.send({...body, tee: one.id})))));
}

function rating(tee) {
  const parts = [tee.course_rating != null && `course rating ${Number(tee.course_rating).toFixed(1)}`, tee.slope_rating != null && `slope rating ${tee.slope_rating}`,
    `par ${tee.holes.reduce((sum, one) => sum + one.par, 0)}`];
  return parts.filter(Boolean).join(", ");
}

function removal({card, acts, me}) {
  const closed = card.players.filter(one => isClosed(card, one.id));
  if (closed.length === card.players.length || (card.server?.opened_by && card.server.opened_by !== me)) return null;
  const going = card.players.filter(one => !closed.includes(one));
  const what = `${going.length > 1 ? "The lines" : "The line"} of ${going.map(one => one.id === me ? `${one.name} (yourself)` : one.name).join(", ")} ${going.length > 1 ? "go" : "goes"}, with everything written there, and ${going.length > 1 ? "become" : "becomes"} no round.${closed.length ? " What was sent in stays." : ""}`;
  const change = card.server && !closed.length && h("p", {}, "Tee, day or people not right? ", h("a", {class: "act", href: `/cards/${card.server.id}/change/`}, "Put it right"), ", where there is a signal.");
  return row(change ? "Change or drop" : "Drop it", change, card.asks
    ? h("div", {class: "notice", role: "alert"}, h("p", {}, `${what} It does not come back.`),
      h("p", {class: "acts"}, button("remove-yes", "Take it away", acts.remove, "btn danger"), button("remove-no", "Keep it", acts.keep)))
    : h("p", {class: "acts"}, button("remove", "Take this card away", acts.ask)));
}
