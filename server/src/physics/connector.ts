/** Contacts in parallel and their loading. A. Source: IEC 60512-5-2 (use 0.8 of the measured base current curve). */

export const CONTACT_DERATING = 0.8;

/** Current of `n` contacts in parallel, each counted at 0.8 from the second on: n·0.8 of one for n > 1. */
export const contactsCurrent = (rating: number, contacts: number, derating = CONTACT_DERATING): number =>
  contacts > 1 ? rating * contacts * derating : rating;

export const contactLoad = (current: number, rating: number, contacts = 1): number =>
  current / contactsCurrent(rating, contacts);
