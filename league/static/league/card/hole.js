// One hole at a time: whose, how many, and what is due.

import {button, h} from "./dom.js";
import {clock, counted, holeOf, holeShown, isClosed, isEmpty, lineOf, nameOf, stand, standWords, unsound, valueWords} from "./golf.js";
import {blowUpAt, doubleBogey, fromHere} from "./from_here.js";
import {budgetOf, meantFor, planLine} from "./kit.js";
import {resetOf} from "./reset.js";

const to = (n, from = 1) => Array.from({length: n - from + 1}, (_, place) => place + from);

/** A row of keys: radio buttons, so that arrow keys work; `kept` marks what the phone has stored. */
function keys(name, legend, values, chosen, press, {size = "", marked = null} = {}) {
  return h("fieldset", {}, h("legend", {}, legend), h("div", {class: `keys ${size}`}, values.map(([value, words]) =>
    h("label", {class: value === chosen ? "kept" : ""},
      h("input", {id: `${name}-${value}`, class: "vh", type: "radio", name, value: String(value), checked: value === chosen, change: () => press(value)}),
      h("span", {}, words), value === marked && h("i", {}, "yours")))));
}
const figures = values => values.map(value => [value, String(value)]);

export function holeScreen(shared) {
  const {card, all, numbers, number, player, tee, kit, acts, me, who} = shared;
  const at = numbers.indexOf(number);
  const [before, after] = [numbers[at - 1], numbers[at + 1]];
  const hole = holeShown(all, player, number);
  const value = hole.value ?? {};
  const budget = budgetOf(kit, card);
  const isMine = player === me;
  const marked = isMine ? budget?.pars[number] ?? null : null;
  const put = given => acts.write(player, number, given);
  return [
    h("section", {class: "hole", "aria-label": `Hole ${number}`},
      head({card, tee, kit, number, before, after, marked, isMine}),
      card.players.length > 1 && whose({card, all, number, player, acts}),
      isMine && told(shared, budget),
      isClosed(card, player) ? closed(card, player, isMine) : hole.contested.length ? contest(hole, player, number, acts) : [
        keys("strokes", `Strokes${card.players.length > 1 ? ` of ${nameOf(card, player)}` : ""}`, figures(to(10)), value.strokes ?? null,
          strokes => put({strokes, picked_up: undefined}), {marked}),
        h("div", {class: "two"},
          keys("putts", "Putts", figures(to(4, 0)), value.putts ?? null, putts => put({putts}), {size: "sm"}),
          keys("penalties", "Penalty strokes", figures(to(4, 0)), value.penalties ?? null, penalties => put({penalties}), {size: "sm"})),
        hole.waits && unsound(hole.value) && h("p", {class: isEmpty(hole.value) ? "small" : "warn small"}, unsound(hole.value)),
        more(shared, value, put, doubleBogey(shared, player, number)),
      ],
      isMine && meant(meantFor(kit, card)),
      isMine && reset({card, number, acts}),
      h("div", {class: "go"},
        h("p", {id: "kept", class: "sans small", role: "status"}, who.words, who.link && [" ", h("a", {href: who.link[0]}, who.link[1])]),
        h("div", {class: "acts"},
          h("a", {id: "on", class: "btn", href: after ? `#/${card.client_id}/${after}` : `#/${card.client_id}/whole`}, after ? `On to ${after}` : "Whole card"),
          button("undo", "Undo", acts.undo)))),
    who.decide,
  ];
}

/** In one line what to do; one tap away why, how the personal par is made, and what is due after it. */
function planned(plan) {
  const why = plan.own_note || plan.reason;
  return h("details", {id: "plan", class: "plan"},
    h("summary", {}, [plan.stance, plan.club, plan.safe_side && `miss ${plan.safe_side}`].filter(Boolean).join(", ")),
    h("p", {}, why && [h("bdi", {}, why), " "], plan.made_in && `Your ${plan.personal_par}: ${plan.made_in}; due ${plan.due}.`));
}

function head({card, tee, kit, number, before, after, marked, isMine}) {
  const {par, length, stroke_index: index, name} = holeOf(tee ?? {holes: []}, number);
  const facts = [par && `par ${par}`, length && `${length} ${tee.length_unit === "metres" ? "m" : "yd"}`, index && `index ${index}`].filter(Boolean).join(" · ");
  const plan = isMine ? planLine(kit, card, number) : null;
  const way = (to, words) => to ? h("a", {id: words, class: "step", href: `#/${card.client_id}/${to}`, "aria-label": `Hole ${to}`}, String(to)) : h("span");
  return h("div", {class: "hh"}, way(before, "back"),
    h("div", {}, h("h2", {class: "no"}, h("span", {}, String(number)), name ? ` ${name}` : ""),
      h("p", {class: "sans small"}, facts, marked && [" · yours ", h("b", {class: "acc"}, String(marked))]),
      plan && planned(plan)),
    way(after, "forward"));
}

/** Sent in, from here or from another phone: what stands on it is a round now. */
export function closed(card, player, isMine) {
  const {state, round} = lineOf(card, player);
  const words = {posted: "This line was sent in and is a round now.", waits: `This line was sent in and waits for ${isMine ? "your" : "the player’s"} yes.`,
    declined: "This line was closed without a round."}[state] ?? "This line was sent in.";
  return h("p", {}, words, isMine && round && [" ", h("a", {href: `/rounds/${round}/`}, "Your round")]);
}

function whose({card, all, number, player, acts}) {
  return h("fieldset", {class: "whose"}, h("legend", {class: "vh"}, "Whose hole"), card.players.map(one => {
    const {value, contested} = holeShown(all, one.id, number);
    const said = contested.length ? "two values" : isEmpty(value) ? "–" : valueWords({strokes: value.strokes, picked_up: value.picked_up});
    return h("label", {class: one.id === player ? "kept" : ""},
      h("input", {id: `whose-${one.id}`, class: "vh", type: "radio", name: "whose", value: one.id, checked: one.id === player, change: () => acts.choose(one.id)}),
      h("bdi", {}, one.name), " ", h("b", {}, said));
  }));
}

/** How it stands; after a blow-up, once, what the barrier leaves from here, and the way to the reset. */
function told(shared, budget) {
  const {card, all, numbers, number, me, acts} = shared;
  const bad = blowUpAt(shared, number);
  const now = budget && stand(all.get(me) ?? new Map(), numbers, budget.pars, budget.barrier);
  const isDone = bad && resetOf(card, bad);
  const way = bad && !isDone && h("a", {id: "to-reset", class: "act", href: `#/${card.client_id}/${bad}/reset`}, "The reset");
  if (!now || card.is_quiet) {
    if (!now && !(way && bad !== number)) return null;
    return h("p", {class: "told"}, !now && `Hole ${bad} is written down.`, way && [" ", way, " "], now && button("tell", "Say how it stands", () => acts.quiet(false), "act"));
  }
  // On the hole itself the line stays as long as it was, so that no key moves from under the thumb.
  return h("p", {class: "told"}, fromHere(shared, budget, !bad) || standWords(now), " ", way && [way, " "],
    way && bad === number ? "" : button("hush", "Leave it out today", () => acts.quiet(true), "act"));
}

function contest({contested}, player, number, acts) {
  return h("div", {class: "notice"}, h("h3", {}, "Two values for this hole. Which one stands?"),
    h("ul", {}, contested.map((one, place) => h("li", {}, button(`settle-${place}`, valueWords(one.value), () => acts.settle(player, number, one.mark)),
      h("span", {class: "small"}, ` written by ${one.written_by?.name ?? one.written_by ?? "somebody"}${one.claimed_at ? `, ${clock(one.claimed_at)} by that phone` : ""}`)))));
}

/** What the keys have no figure for, and the way back from a tap: an emptied field takes its value away. */
function figure(id, words, value, [least, most], keep) {
  const fault = h("p", {id: `${id}-fault`, class: "warn small", role: "alert"});
  return h("div", {class: "field"}, h("label", {for: id}, words), fault,
    h("input", {id, type: "number", inputmode: "numeric", min: least, max: most, value: value == null ? "" : String(value), "aria-describedby": `${id}-fault`,
      change: ({target}) => {
        const n = target.valueAsNumber;
        const isGood = Number.isInteger(n) && n >= least && n <= most;
        if (isGood || (target.value === "" && !target.validity.badInput)) {
          target.drawn = target.value;
          keep(isGood ? n : undefined);
        }
        else fault.textContent = `${least} to ${most}, whole. Not kept.`;
      }}));
}

const before = new Map(); // strokes of a hole when it was marked as picked up: unticked, they stand again

function more({card, player, number, acts}, value, put, double) {
  const three = (name, legend, field) => keys(name, legend, [["", "not noted"], ["no", "no"], ["yes", "yes"]],
    value[field] == null ? "" : value[field] ? "yes" : "no", said => put({[field]: said === "" ? undefined : said === "yes"}), {size: "sm three"});
  const here = `${card.client_id} ${player} ${number}`;
  const pickUp = isUp => {
    if (isUp) before.set(here, value.strokes);
    put(isUp ? {picked_up: true, strokes: undefined} : {picked_up: undefined, strokes: value.strokes ?? before.get(here)});
  };
  return h("details", {id: "more"}, h("summary", {}, "More about this hole"),
    h("div", {class: "two"},
      h("div", {class: "figures"},
        figure("many", "Strokes", value.strokes, [1, 25], strokes => put({strokes, picked_up: undefined})),
        figure("many-putts", "Putts", value.putts, [0, 25], putts => put({putts})),
        figure("many-penalties", "Penalties", value.penalties, [0, 24], penalties => put({penalties}))),
      h("label", {class: "opt"}, h("input", {id: "up", type: "checkbox", checked: Boolean(value.picked_up), change: event => pickUp(event.target.checked)}),
        h("span", {}, "Picked up", double?.isNet && h("span", {class: "hint"}, ` counts as ${double.strokes}, net double bogey`))),
      keys("near", "Strokes from inside 60 yards", [["", "–"], ...figures(to(8, 0))], value.strokes_from_60 ?? "", n => put({strokes_from_60: n === "" ? undefined : n}), {size: "sm"}),
      three("far", "First putt from beyond 20 feet", "first_putt_beyond_20ft"),
      three("recovery", "A shot only to get back into play", "recovery"),
      Object.keys(value).length > 0 && h("p", {class: "acts"}, button("clear", "Clear this hole", () => acts.clear(player, number)))));
}

function meant(one) {
  return one && h("details", {id: "meant"}, h("summary", {}, "What you meant to do"),
    one.goal && h("p", {}, h("bdi", {}, one.goal)), one.then && h("p", {}, h("bdi", {}, [one.when, one.then].filter(Boolean).join(" "))));
}

/** Private: it goes to the journal of whoever is signed in here, and never onto the card. */
function reset({card, number, acts}) {
  const done = resetOf(card, number);
  return h("div", {class: "reset"}, h("span", {class: done ? "dia done" : "dia", "aria-hidden": "true"}),
    done ? h("p", {}, "Reset noted, for your journal alone. ", button("reset-back", "Take it back", () => acts.takeBack(number), "act"))
      : h("p", {}, button("reset", "Reset done", () => acts.reset(number), "act"), " · ", h("a", {class: "act", href: `#/${card.client_id}/${number}/reset`}, "open it")));
}
