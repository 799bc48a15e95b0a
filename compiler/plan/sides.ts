/**
 * The four sides of a zone or a bag by name: the plan language's words, and the
 * azimuth each stands for (degrees clockwise seen from above, 0 at the back).
 */

/** Azimuth of each side. */
export const SIDE_AZIMUTH = { left: 270, right: 90, front: 180, back: 0 } as const;

/** A side's name. */
export type SideName = keyof typeof SIDE_AZIMUTH;

/** The names, in the order in which a person counts them up. */
export const SIDE_NAMES = ['left', 'right', 'front', 'back'] as const satisfies readonly SideName[];

/** The name of the side at an azimuth (any multiple of a turn away); undefined between the four. */
export function sideNamed(azimuth: number): SideName | undefined {
  const turned = ((azimuth % 360) + 360) % 360;
  return SIDE_NAMES.find((name) => SIDE_AZIMUTH[name] === turned);
}

/** A side as a plan writes it: `left`, `45 deg`. */
export const sideInPlan = (azimuth: number): string => sideNamed(azimuth) ?? `${azimuth} deg`;
