/**
 * Masses, lengths and temperatures as a grower weighs and measures them, metric or US.
 *
 * Always holds: a kitchen scale can show what is printed: 5 g or a quarter
 * ounce. The pound is 0.45359237 kg and the inch 25.4 mm exactly; a US quart
 * holds 0.946353 L.
 */

export type Units = 'metric' | 'us';

const KG_PER_OUNCE = 0.45359237 / 16;
const LITRES_PER_QUART = 0.946353;

/** `1.35 kg`, `455 g`; `3 lb 4 oz`, `5.25 oz`. */
export function massWords(kg: number, units: Units): string {
  return kg < 0 ? `−${plainMass(-kg, units)}` : plainMass(kg, units);
}

function plainMass(kg: number, units: Units): string {
  if (units === 'us') return usMass(kg);
  const grams = Math.round(kg * 200) * 5;
  return grams < 1000 ? `${grams} g` : `${(grams / 1000).toFixed(grams % 10 === 0 ? 2 : 3)} kg`;
}

function usMass(kg: number): string {
  const quarters = Math.round((kg / KG_PER_OUNCE) * 4);
  const pounds = Math.floor(quarters / 64);
  const ounces = (quarters % 64) / 4;
  if (pounds === 0) return `${ounces} oz`;
  return ounces === 0 ? `${pounds} lb` : `${pounds} lb ${ounces} oz`;
}

/** The volume of water: `1.32 L`; `1.39 qt`. */
export function waterVolume(kg: number, units: Units): string {
  return units === 'us' ? `${(kg / LITRES_PER_QUART).toFixed(2)} qt` : `${kg.toFixed(2)} L`;
}

/** `149 mm`; `5.9 in`. */
export function millimetreWords(mm: number, units: Units): string {
  return units === 'us' ? `${(mm / 25.4).toFixed(1)} in` : `${mm.toFixed(0)} mm`;
}

const fahrenheit = (celsius: number): number => (celsius * 9) / 5 + 32;

/** `21 °C`; `70 °F`. */
export function temperature(celsius: number, units: Units): string {
  return units === 'us' ? `${fahrenheit(celsius).toFixed(0)} °F` : `${celsius.toFixed(0)} °C`;
}

/** `21–27 °C`; `70–81 °F`. */
export function temperatureBand(band: { readonly low: number; readonly high: number }, units: Units): string {
  const low = units === 'us' ? fahrenheit(band.low) : band.low;
  return `${low.toFixed(0)}–${temperature(band.high, units)}`;
}
