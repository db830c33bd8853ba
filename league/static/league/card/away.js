// A card that the service has no more, while its strokes are still on this phone: who took it away, and what may become of it.

import {button, h, row} from "./dom.js";
import {counted, holesShown, isEmpty, lineOf} from "./golf.js";

/** What became of it, in one sentence. */
export const awayWords = ({is, by}) => ({
  dropped: `${by || "Whoever opened it"} took this card away.`,
  closed: "Your line of this card was closed without a round.",
}[is] ?? "This card is no longer at the service.");

/** Those who go onto a card of one's own: oneself, and whom this phone wrote for and may write for, while their line is open. */
export function peopleOf(card, rows, kit) {
  const written = new Set([...card.history ?? [], ...rows.filter(one => one.kind === "mark")].map(one => one.player));
  const may = kit?.people ? new Set(kit.people.map(one => one.id)) : null;
  const isOpen = player => ["open", "declined", undefined].includes(lineOf(card, player)?.state);
  return card.players.filter(({id}) => id === card.account || (written.has(id) && (!may || may.has(id)) && isOpen(id)));
}

/** `asks`: the page was told to let it go, and asks once. */
export function awayChoice({card, rows, kit, asks, acts}) {
  const all = holesShown(card, rows);
  const people = peopleOf(card, rows, kit);
  const holes = ({id}) => [...all.get(id)?.values() ?? []].filter(({value, contested}) => contested.length || !isEmpty(value)).length;
  const told = people.map((one, place) => [place > 0 && "; ", h("bdi", {}, one.name), ` ${counted(holes(one), "hole")}`]);
  return row("Yours to keep",
    h("p", {}, `${awayWords(card.away)} Your strokes are still on this phone`, people.length > 0 && ": ", told, "."),
    asks ? h("div", {class: "notice", role: "alert"}, h("p", {}, "The strokes of this card go from this phone. They do not come back."),
      h("p", {class: "acts"}, button("let-go-yes", "Let them go", acts.letGo, "btn danger"), button("let-go-no", "Keep them", acts.keep)))
      : h("p", {class: "acts"}, people.length > 0 && button("reopen", "Open it as my own card", acts.reopen, "btn"), button("let-go", "Let it go", acts.ask)));
}
