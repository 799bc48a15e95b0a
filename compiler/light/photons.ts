/**
 * From lux to photons.
 *
 * Always holds: the factor (lx for one µmol m⁻² s⁻¹) is an input, for the colour
 * temperature of a lamp does not fix it. Published: sun and sky 54, cool-white
 * fluorescent 74, incandescent 50 (Thimijan & Heins, HortScience 18(6), 1983).
 */

/** Taken when nothing better is known: typical of white LEDs; they range from 53 to 73. */
export const LUX_PER_MICROMOLE = 70;

/** Moles of photons per m² in so many lux-hours. */
export function molesOf(luxHours: number, luxPerMicromole: number = LUX_PER_MICROMOLE): number {
  return (luxHours * 3600) / luxPerMicromole / 1e6;
}
