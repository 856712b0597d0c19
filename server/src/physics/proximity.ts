/** Inductive proximity switches. m. Source: IEC 60947-5-2. */

/**
 * Distance from the target's surface at which a switch fires: the rated distance times the metal's factor (1 on steel) times a share
 * that the standard allows a specimen (0.81 to 1.21), less what covers the metal. Negative: it never sees it.
 */
export const sensingDistance = (rated: number, metalFactor: number, share: number, cover = 0): number =>
  metalFactor * share * rated - cover;
