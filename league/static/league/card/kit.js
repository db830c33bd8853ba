// What was fetched before going out: tees, people, the player's own barrier and plan. Absent parts are simply not told.

export const teeOf = (kit, id) => kit?.tees?.find(one => one.id === id) ?? null;
export const teeWords = tee => tee ? [tee.course?.name, `${tee.name} tee`].filter(Boolean).join(", ") : "a tee this phone does not know";
/** Whether the ratings of the tee hold on that day. */
export const isValid = (tee, day) => (!tee.valid_from || tee.valid_from <= day) && (!tee.valid_until || day <= tee.valid_until);

const planOf = (kit, card) => kit?.plans?.find(one => one.tee === card.tee && (!one.for_day || one.for_day === card.played_on)) ?? null;

/** The plan's line for a hole: {personal_par, stance, club, words} or null. */
export const planLine = (kit, card, number) => planOf(kit, card)?.holes?.find(one => one.number === number) ?? null;

/** {barrier, pars: number -> personal par}: the plan's, else those of the open barrier on this tee; null without either. */
export function budgetOf(kit, card) {
  const plan = planOf(kit, card);
  const barrier = kit?.barriers?.find(one => one.personal_pars[card.tee]?.length);
  const holes = plan?.holes ?? barrier?.personal_pars[card.tee];
  if (!holes) return null;
  return {barrier: plan?.barrier ?? barrier.barrier, pars: Object.fromEntries(holes.map(one => [one.number, one.personal_par]))};
}
