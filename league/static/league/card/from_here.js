// After a hole that cost a lot: whether it did, and the barrier's arithmetic from there. Values in, words out.

import {capital, counted, holeOf, inWords, isEmpty, numbersOf, stand} from "./golf.js";

/** Course handicap in whole strokes, halves upward (Rule 6.1); in tenths and whole numbers, as no float is exact here. */
export function courseHandicap(index, {course_rating, slope_rating, par, ranks}) {
  const nines = ranks.length === 18 ? 1 : 2;
  const n = Math.round(10 * index) * slope_rating + nines * 113 * (Math.round(10 * course_rating) - 10 * par);
  const d = nines * 1130;
  return Math.floor((2 * n + d) / (2 * d));
}

/** Strokes received on the hole of that place in the order (Appendix E); below zero where a plus player gives one back. */
export function strokesReceived(handicap, rank, holes) {
  const turns = Math.floor(handicap / holes);
  return turns + (rank <= handicap - turns * holes ? 1 : 0);
}

/**
 * The strokes from which a hole is a blow-up, {strokes, isNet}: net double bogey (Rule 3.1b), or two over par where the kit
 * knows no index of this player or no ratings (a kit of an older service has neither). null where the par is unknown.
 */
export function doubleBogey({kit, card, tee}, player, number) {
  const {par} = holeOf(tee ?? {holes: []}, number);
  if (!par) return null;
  const index = kit?.people?.find(one => one.id === player)?.index;
  const rated = tee.rated?.find(one => one.holes_in_play === card.holes_in_play);
  if (index == null || !rated) return {strokes: par + 2, isNet: false};
  const rank = rated.ranks[numbersOf(card.holes_in_play).indexOf(number)];
  return {strokes: par + 2 + strokesReceived(courseHandicap(index, rated), rank, rated.ranks.length), isNet: true};
}

function isBlowUp(shared, player, number) {
  const value = shared.all.get(player)?.get(number)?.value;
  const double = doubleBogey(shared, player, number);
  if (!value || !double) return false;
  return value.strokes == null ? Boolean(value.picked_up) : value.strokes >= double.strokes;
}

/** The hole that was a blow-up, while the one in hand comes after it: this hole, or the one before while this is unwritten. */
export function blowUpAt(shared, number) {
  const {all, me, numbers} = shared;
  if (isBlowUp(shared, me, number)) return number;
  const before = numbers[numbers.indexOf(number) - 1];
  return before && isEmpty(all.get(me)?.get(number)?.value) && isBlowUp(shared, me, before) ? before : null;
}

/** How many of each make up so many strokes over par on so many holes; "" when nothing sensible does. */
export function madeOf(over, holes) {
  if (holes === 1) return ["a birdie", "a par", "a bogey", "a double bogey"][over + 1] ?? (over > 2 ? `${inWords(over)} over par` : "");
  const spare = over - 2 * holes;
  if (spare > 0) return `double bogeys, and ${inWords(spare)} in hand`;
  const [low, high] = over > holes ? ["bogey", "double bogey"] : over >= 0 ? ["par", "bogey"] : ["birdie", "par"];
  const many = over > holes ? over - holes : over >= 0 ? over : holes + over; // of the higher of the two
  const few = holes - many;
  if (few < 0 || many < 0) return "";
  if (!few || !many) return `${few ? plural(low) : plural(high)} all the way`;
  const [more, less] = many >= few ? [high, counted(few, low, plural(low))] : [low, counted(many, high, plural(high))];
  return `${plural(more)} and ${less}`;
}
const plural = name => name === "birdie" ? "birdies" : `${name}s`;

const ONE_IN_TEN = 1.2816; // standard deviations under the usual; and below, one in fifty
const ONE_IN_FIFTY = 2.0537;

/**
 * The lowest total that is still likely, one round in fifty going under it: what is written, and for the holes left the
 * player's usual score on this tee by their par, its spread by the root of their number. The same spread on every hole and
 * holes that know nothing of each other are a simplification of ours. null without a usual score.
 */
export function lowestLikely({used, toGo}, parLeft, parOfAll, score) {
  if (!score) return null;
  const spread = (score.usual - score.low) / ONE_IN_TEN * Math.sqrt(toGo / 18);
  return Math.ceil(used + score.usual * parLeft / parOfAll - ONE_IN_FIFTY * spread - .5);
}

export function fromHereWords(now, barrier, parLeft, lowest) {
  const {left, toGo, used} = now;
  const made = madeOf(left - parLeft, toGo);
  if (lowest !== null && lowest >= barrier) return `Under ${barrier} is out of reach today: ${lowest} is the lowest likely, going by your own rounds.`;
  if (!made) return `Under ${barrier} is out of reach today: birdies all the way make ${used + parLeft - toGo}.`;
  return `${capital(counted(toGo, "hole"))} left, ${left} strokes to ${barrier - 1}: ${made}.`;
}

/** Whether birdies on all holes left would not do: then no pace is told against the barrier any more. */
const isOver = (now, parLeft) => now.left < parLeft - now.toGo;

/** The sentence for a card, or "" where there is no barrier, no hole left, or a hole whose strokes nobody knows. */
export function fromHere({all, numbers, me, tee, kit, card}, budget, onlyIfOver = false) {
  const holes = all.get(me) ?? new Map();
  const now = budget && stand(holes, numbers, budget.pars, budget.barrier);
  if (!now?.toGo) return "";
  const parOf = of => of.reduce((sum, number) => sum + (holeOf(tee ?? {holes: []}, number).par ?? NaN), 0);
  const parLeft = parOf(numbers.filter(number => isEmpty(holes.get(number)?.value)));
  if (Number.isNaN(parOf(numbers)) || (onlyIfOver && !isOver(now, parLeft))) return "";
  const score = kit?.usual_scores?.find(one => one.tee === card.tee);
  return fromHereWords(now, budget.barrier, parLeft, lowestLikely(now, parLeft, parOf(numbers), score));
}
