// What was fetched before going out: tees, people, the player's own barrier and plan. Absent parts are simply not told.

export const teeOf = (kit, id) => kit?.tees?.find(one => one.id === id) ?? null;
export const teeWords = tee => tee ? [tee.course?.name, `${tee.name} tee`].filter(Boolean).join(", ") : "a tee this phone does not know";
/** What the player meant to do on that day and tee, from the journal: {goal, when, then}; undefined without. */
export const meantFor = (kit, card) => kit?.meant?.find(one => !one.round && one.played_on === card.played_on && (!one.tee || one.tee === card.tee) && (one.goal || one.then));

/** The name of the group that a card was opened for, or "". */
export const groupName = (kit, card) => (card.group && (kit?.groups?.find(one => one.id === card.group)?.name ?? card.group_name)) || "";
/** The places in that day that a new card of one's own can have: those between the rounds and cards there, and the next. */
export function placesOpen({kit, sent, account}, cards, day) {
  const taken = new Set(kit?.days_played?.find(one => one.played_on === day)?.orders_in_day);
  if (sent?.played_on === day && sent.order_in_day) taken.add(sent.order_in_day);
  for (const card of cards) if (!card.away && card.played_on === day && card.players.some(one => one.id === account)) taken.add(card.order_in_day);
  const last = Math.min(LAST_IN_DAY, Math.max(0, ...taken) + 1);
  return Array.from({length: last}, (_, place) => place + 1).filter(place => place === last || !taken.has(place));
}
const LAST_IN_DAY = 9;
/** Whether the ratings of the tee hold on that day. */
export const isValid = (tee, day) => (!tee.valid_from || tee.valid_from <= day) && (!tee.valid_until || day <= tee.valid_until);

const planOf = (kit, card) => kit?.plans?.find(one => one.tee === card.tee && (!one.for_day || one.for_day === card.played_on)) ?? null;

/** The plan's line for a hole: {personal_par, made_in, due, stance, reason, club, safe_side, own_note} or null. */
export const planLine = (kit, card, number) => planOf(kit, card)?.holes?.find(one => one.number === number) ?? null;

/** {barrier, pars: number -> personal par}: the plan's, else those of the open barrier on this tee; null without either. */
export function budgetOf(kit, card) {
  const plan = planOf(kit, card);
  const barrier = kit?.barriers?.find(one => one.personal_pars[card.tee]?.length);
  const holes = plan?.holes ?? barrier?.personal_pars[card.tee];
  if (!holes) return null;
  return {barrier: plan?.barrier ?? barrier.barrier, pars: Object.fromEntries(holes.map(one => [one.number, one.personal_par]))};
}
