// What was fetched before going out: tees, people, the player's own barrier and plan. Absent parts are simply not told.

export const teeOf = (kit, id) => kit?.tees?.find(one => one.id === id) ?? null;
export const teeWords = tee => tee ? [tee.course?.name ?? tee.course, `${tee.name} tee`].filter(Boolean).join(", ") : "a tee this phone does not know";
export const unitOf = kit => kit?.length_unit === "metres" ? "m" : "yd";

const planOf = (kit, card) => kit?.plans?.find(one => one.tee === card.tee && (!one.for_day || one.for_day === card.played_on)) ?? null;

/** The plan's line for a hole: {personal_par, stance, words} or null. */
export const planLine = (kit, card, number) => planOf(kit, card)?.holes?.find(one => one.number === number) ?? null;

/** {barrier, pars: number -> personal par}: the plan's, else those of the open barrier on this tee; null without either. */
export function budgetOf(kit, card) {
  const plan = planOf(kit, card);
  const found = plan ?? kit?.barriers?.find(one => one.tee === card.tee || one.tee === null) ?? null;
  const target = found?.barrier ?? found?.target;
  const holes = plan?.holes ?? found?.personal_pars?.[card.tee] ?? found?.holes;
  if (!target || !holes?.length) return null;
  const pars = {};
  holes.forEach((one, place) => { pars[one.number ?? place + 1] = one.personal_par ?? one; });
  return {barrier: target, pars};
}
