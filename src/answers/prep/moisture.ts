/**
 * Moisture on the wet basis: M = water / (water + dry), 0 to below 1.
 *
 * Always holds: dry mass is kept; masses are in the unit they came in. The
 * balance is that of the IRRI Rice Knowledge Bank (1,000 kg from 25 % to 14 %
 * weighs 872 kg).
 */

/** Mass after a change of moisture, with its dry mass kept. */
export function massAtMoisture(mass: number, from: number, to: number): number {
  return (mass * (1 - from)) / (1 - to);
}

/** Water to add to bring `mass` from one moisture to another; negative: to dry off. */
export function waterToAdd(mass: number, from: number, to: number): number {
  return massAtMoisture(mass, from, to) - mass;
}
