// What is open on this phone, and a new card.

import {button, h, row} from "./dom.js";
import {capital, clock, counted, dayWords, holesShown, inOrder, isEmpty, numbersOf, today} from "./golf.js";
import {awayWords} from "./away.js";
import {groupName, isValid, placesOpen, teeOf, teeWords} from "./kit.js";

const PLAYED = {"18": "Eighteen holes", front: "First nine", back: "Second nine", nine: "Nine holes", twice: "Nine holes, twice"};

export function startScreen({facts, cards, rows, acts, draft, lasting, who}) {
  const mine = cards.filter(one => one.account === facts.account);
  const others = cards.filter(one => one.account !== facts.account);
  const {kit, sent} = facts;
  return [
    h("p", {id: "kept", class: "sans small", role: "status"}, who.words, who.link && [" ", h("a", {href: who.link[0]}, who.link[1])]),
    sent && row(["dropped", "gone"].includes(sent.is) ? "Dropped" : "Sent", sentRow(sent, acts)),
    mine.length > 0 && row("Open", h("ul", {class: "list"}, mine.map(card => h("li", {}, h("a", {class: "act", href: `#/${card.client_id}/${nextHole(card, rows, facts.account)}`},
      `${dayWords(card.played_on)}, ${teeWords(teeOf(kit, card.tee) ?? card.tee_told)}`), h("p", {class: "small"}, factOf(kit, card, rows.filter(one => one.card === card.client_id))))))),
    others.length > 0 && row("Somebody else’s", h("p", {}, `On this phone ${others.length === 1 ? "is" : "are"} ${counted(others.length, "card")} of ${[...new Set(others.map(one => one.account_name))].join(", ")}. ${others.length === 1 ? "It is" : "They are"} sent when ${others.length === 1 ? "its owner signs" : "their owners sign"} in here, and never under another name.`)),
    row("A new card", kit?.tees?.length ? newCard({facts, kit, acts, draft, mine}) : h("p", {}, "The tees are not on this phone yet. Open this page once where there is a signal; from then on a card can be opened anywhere.")),
    row("On this phone", h("p", {class: "small"}, lasting === false
      ? "The browser may clear this page’s storage when the phone runs short of space; it did not promise to keep it. A card that says “stored” is safe; until then it is on this phone alone. Adding this page to the home screen usually makes the storage last."
      : "What you tap is kept on this phone at once, and sent when there is a signal. Clearing the browser’s data would lose what was not sent.")),
  ];
}

function sentRow(sent, acts) {
  if (sent.is === "gone") return h("p", {}, `The card of ${dayWords(sent.played_on)} is no longer at the service. Nothing of yours was written on it.`);
  if (sent.is === "dropped") return h("p", {}, `The card of ${dayWords(sent.played_on)} was dropped by whoever opened it. What was written on it counts for nothing.`);
  const own = {waits: "Your line waits for your yes: is it your round?", posted: null, declined: "Your line was closed without a round."}[sent.state];
  return [
    h("p", {}, `The card of ${dayWords(sent.played_on)} was stored, ${clock(sent.at)}. `, sent.round && h("a", {href: `/rounds/${sent.round}/`}, "Your round"), sent.round && [" · ", h("a", {href: `/journal/rounds/${sent.round}/`}, "Look back")]),
    own && h("p", {}, own),
    sent.state === "waits" && h("p", {class: "acts"}, button("yes", "Yes, post it", () => acts.answer(sent, "post"), "btn"), button("no", "No", () => acts.answer(sent, "decline"))),
    sent.waits?.length > 0 && h("p", {class: "small"}, `Waits for a yes: ${sent.waits.join(", ")}.`),
  ];
}

function nextHole(card, rows, me) {
  const all = holesShown(card, rows.filter(one => one.card === card.client_id));
  const own = all.get(me) ?? all.values().next().value ?? new Map();
  const numbers = numbersOf(card.holes_in_play);
  return numbers.find(number => isEmpty(own.get(number)?.value)) ?? "whole";
}

function factOf(kit, card, rows) {
  const names = card.players.map(one => one.name).join(", ");
  const place = card.order_in_day > 1 ? `${inOrder(card.order_in_day)} round of that day` : "";
  const state = card.away ? `${awayWords(card.away)} Your strokes are on this phone only` : rows.length ? "on this phone only" : card.stored_at ? `stored, ${clock(card.stored_at)}` : "";
  return [names, groupName(kit, card), place, state].filter(Boolean).join("; ");
}

function newCard({facts, kit, acts, draft, mine}) {
  const tees = kit.tees.filter(one => isValid(one, draft.day || today()));
  const tee = tees.find(one => one.id === draft.tee) ?? tees.find(one => one.id === facts.last_tee)
    ?? tees.find(one => one.id === kit.usual_tee) ?? tees[0] ?? kit.tees[0];
  const field = (id, words, control, hint) => h("div", {class: "field"}, h("label", {for: id}, words), hint && h("p", {class: "hint"}, hint), control);
  const option = (value, words, chosen) => { const made = h("option", {value}, words); made.selected = value === chosen; return made; };
  // A course of one of the reader's groups is played with that group, unless it is said otherwise.
  const groups = kit.groups ?? [];
  const group = draft.group ?? groups.find(one => one.id === tee.course.group)?.id ?? "";
  const places = placesOpen(facts, mine, draft.day || today());
  const chosen = draft.players ?? [facts.account];
  // A card of a group has its own people on it; a kit of an older service does not say who they are.
  const people = (kit.people ?? []).filter(one => one.id !== facts.account && (!group || !one.groups || one.groups.includes(group)));
  // A group may have sixty people: those of the last card stand at once, the others behind one line.
  const near = people.length <= 8 ? people : people.filter(one => chosen.includes(one.id) || facts.last_players?.includes(one.id));
  const far = people.filter(one => !near.includes(one));
  const tick = one => h("label", {class: "opt"},
    h("input", {id: `with-${one.id}`, type: "checkbox", name: "players", value: one.id, checked: chosen.includes(one.id)}), h("bdi", {}, one.name));
  return h("form", {submit: event => { event.preventDefault(); acts.open(new FormData(event.target), tee); },
    change: event => acts.draft(new FormData(event.currentTarget), event.target.name)},
    draft.fault && h("p", {class: "warn", role: "alert"}, draft.fault),
    field("tee", "Course and tee", h("select", {id: "tee", name: "tee"}, tees.map(one => option(one.id, `${teeWords(one)}${one.rated_for ? `, rated for ${one.rated_for}` : ""}`, tee.id)))),
    field("holes", "Holes", h("select", {id: "holes", name: "holes"}, tee.holes_in_play.map(one => option(one, PLAYED[one] ?? one, draft.holes)))),
    field("day", "Day", h("input", {id: "day", name: "day", type: "date", required: true, value: draft.day || today(), min: "2000-01-01", max: today()})),
    places.at(-1) > 1 && field("order", "Which round of that day", h("select", {id: "order", name: "order"},
      places.map(one => option(String(one), capital(inOrder(one)), draft.order ?? String(places.at(-1))))), "You have another one on that day. They count in the order in which they were played."),
    groups.length > 0 && field("group", "For", h("select", {id: "group", name: "group"}, groups.map(one => option(one.id, one.name, group)), option("", "no group", group))),
    h("fieldset", {class: "field"}, h("legend", {}, "Who is on the card, four at most"),
      tick({id: facts.account, name: `${facts.name}, yourself`}), near.map(tick),
      far.length > 0 && h("details", {id: "far"}, h("summary", {}, near.length ? "Somebody else" : "With others"), far.map(tick))),
    h("p", {class: "acts"}, h("button", {id: "open", class: "btn"}, "Open the card")));
}
