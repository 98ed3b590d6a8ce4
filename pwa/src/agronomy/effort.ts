/** The area that samples cover: so many units of one area, or round cores of one diameter. */
import { count, InputFault, maybe, number, or } from './input';

export const SQUARE_METRES_PER_HECTARE = 1e4;
/** International acre. */
export const SQUARE_METRES_PER_ACRE = 4046.8564224;

/** Inputs that say how much ground was looked through. */
export const UNIT_AREA = {
  unit_area_m2: maybe(number({ min: 1e-9, max: 1e6 })),
  core_diameter_m: maybe(number({ min: 1e-6, max: 10 })),
};
export const N_UNITS = count({ min: 1, max: 1e6 });
/** Share of the larvae present that the search brings to light; about 0.4 by hand, near 1 by washing. */
export const RECOVERY = or(number({ min: 1e-6, max: 1 }), 1);

/** Area of one unit in square metres, given in one of two ways. */
export function unitArea(v: {
  unit_area_m2?: number | undefined;
  core_diameter_m?: number | undefined;
}): number {
  if (v.unit_area_m2 !== undefined && v.core_diameter_m !== undefined) {
    throw new InputFault('/core_diameter_m', 'Give the area of a unit or the diameter of a core, not both.');
  }
  if (v.core_diameter_m !== undefined) return (Math.PI * v.core_diameter_m ** 2) / 4;
  if (v.unit_area_m2 === undefined) {
    throw new InputFault('/unit_area_m2', 'Give the area of a unit or the diameter of a core.');
  }
  return v.unit_area_m2;
}
