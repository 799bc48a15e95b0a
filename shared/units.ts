/**
 * Branded number types, so that millimetres cannot meet minutes.
 *
 * Always holds: a brand costs nothing at run time; the constructors below are
 * the only places where a bare number becomes a quantity.
 */

declare const unit: unique symbol;
type Branded<Name extends string> = number & { readonly [unit]: Name };

/** Length in millimetres. */
export type Millimetres = Branded<'mm'>;
/** Luminous flux in lumens. */
export type Lumens = Branded<'lm'>;
/** Illuminance in lux. */
export type Lux = Branded<'lx'>;
/** Power in watts. */
export type Watts = Branded<'W'>;
/** Mass in kilograms. */
export type Kilograms = Branded<'kg'>;
/** Temperature in degrees Celsius. */
export type Celsius = Branded<'C'>;
/** An azimuth in degrees: 0 back, 90 right, 180 front, 270 left, clockwise seen from above. */
export type Degrees = Branded<'deg'>;
/** Whole minutes: a length of time, or a minute of the civil day (0–1439). */
export type Minutes = Branded<'min'>;
/** Whole seconds of UTC since 2000-01-01T00:00:00Z. */
export type UtcSeconds = Branded<'UTC s since 2000'>;
/** Whole civil days since 2000-01-01 (which is day 0, a Saturday). */
export type CivilDay = Branded<'civil day since 2000-01-01'>;

export const millimetres = (value: number): Millimetres => value as Millimetres;
export const lumens = (value: number): Lumens => value as Lumens;
export const lux = (value: number): Lux => value as Lux;
export const watts = (value: number): Watts => value as Watts;
export const kilograms = (value: number): Kilograms => value as Kilograms;
export const celsius = (value: number): Celsius => value as Celsius;
export const degrees = (value: number): Degrees => value as Degrees;
export const minutes = (value: number): Minutes => value as Minutes;
export const utcSeconds = (value: number): UtcSeconds => value as UtcSeconds;
export const civilDay = (value: number): CivilDay => value as CivilDay;
