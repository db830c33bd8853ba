// The reset, opened on the card: a breath, one sentence of the player's own, the next shot. No network is asked for it.

import {button, h} from "./dom.js";
import {capital, counted, isEmpty, holeShown} from "./golf.js";
import {fromHere} from "./from_here.js";
import {budgetOf, meantFor} from "./kit.js";

/** The mark that a reset was done after this hole, by this phone: {number, key}; undefined without one. */
export const resetOf = (card, number) => card.resets?.find(one => one.number === number);

const NEXT = "Where should the next ball land?";
const breathsOf = breaths => breaths === 1 ? "One slow breath, out longer than in." : `${capital(counted(breaths, "slow breath"))}, out longer than in.`;

/** Before the player's own words were fetched there is the breath alone. */
export function resetScreen(shared) {
  const {card, all, numbers, number, kit, acts, me} = shared;
  const {sentence, breaths = 1, is_own: isOwn} = kit?.routine ?? {};
  const budget = card.is_quiet ? null : budgetOf(kit, card);
  const next = numbers[numbers.indexOf(number) + 1];
  // Whoever comes from a hole that is written goes on to the next one.
  const on = next && !isEmpty(holeShown(all, me, number).value) ? next : number;
  const meant = meantFor(kit, card);
  const words = budget && fromHere(shared, budget);
  const way = `#/${card.client_id}/${on}`;
  return [h("section", {class: "hole resetting", "aria-label": `Reset after hole ${number}`},
    h("ol", {class: "steps"}, breaths > 0 && h("li", {}, breathsOf(breaths)), sentence && h("li", {class: "sentence"}, h("bdi", {}, sentence)), (isOwn || !sentence) && h("li", {}, NEXT)),
    meant?.then && h("p", {}, "You meant: ", h("bdi", {}, [meant.when, meant.then].filter(Boolean).join(" "))),
    words && h("p", {}, words),
    h("div", {class: "go"}, h("p", {class: "sans small"}, "The mark is for your journal alone and stands on no card."),
      h("div", {class: "acts"},
        resetOf(card, number)
          ? [h("a", {id: "on", class: "btn", href: way}, `Hole ${on}`), button("reset-back", "Take it back", () => acts.takeBack(number))]
          : [h("button", {id: "on", type: "button", class: "btn", click: () => acts.reset(number, way)}, "Done"), h("a", {class: "btn second", href: way}, "Not now")])))];
}
