/** What stood in a place, year by year, and how long ago the grass was broken. Pure. */
import type { GrownCrop } from './week_ground';

export interface YearOfPlace {
  year: number;
  crops: { kind: string; variety?: string; from: string; to?: string }[];
  /** Years since the grass was broken; none when nobody has said. */
  from_grass?: number;
}
export interface Again {
  kind: string;
  years: number[];
}

/**
 * Years of gap that growers commonly leave for the same crop on one bed, against diseases of the soil.
 * Common practice, no source.
 */
export const USUAL_GAP = 3;

/** Newest year first; years without a crop stand in between, so that a rest can be seen. */
export function yearsOf(
  crops: readonly GrownCrop[],
  place: { id: string; broken_year?: number },
  thisYear: number,
): YearOfPlace[] {
  const own = crops.filter((crop) => crop.place_id === place.id);
  const first = own.reduce((year, crop) => Math.min(year, yearOf(crop.from)), thisYear);
  return Array.from({ length: thisYear - first + 1 }, (_, i): YearOfPlace => {
    const year = thisYear - i;
    const stood = own.filter((crop) => yearOf(crop.from) <= year && lastYear(crop) >= year);
    return {
      year,
      crops: stood
        .sort((a, b) => (a.from < b.from ? -1 : 1))
        .map(({ kind, variety, from, to }) => ({
          ...{ kind, from },
          ...(variety ? { variety } : {}),
          ...(to ? { to } : {}),
        })),
      ...(place.broken_year !== undefined && year >= place.broken_year
        ? { from_grass: year - place.broken_year }
        : {}),
    };
  });
}

/** Crops that were begun here again before the usual gap was over. */
export function soonAgain(crops: readonly GrownCrop[], placeId: string): Again[] {
  const years = new Map<string, { kind: string; years: number[] }>();
  for (const crop of crops.filter((one) => one.place_id === placeId)) {
    const key = crop.kind.trim().toLowerCase();
    const of = years.get(key) ?? { kind: crop.kind.trim(), years: [] };
    if (!of.years.includes(yearOf(crop.from))) of.years.push(yearOf(crop.from));
    years.set(key, of);
  }
  return [...years.values()]
    .map((of) => ({ ...of, years: of.years.sort((a, b) => a - b) }))
    .filter((of) => of.years.some((year, i) => i > 0 && year - (of.years[i - 1] ?? year) <= USUAL_GAP));
}

function yearOf(day: string): number {
  return Number(day.slice(0, 4));
}

/** A crop nobody has cleared is not taken to stand for ever: a year is the longest that we suppose. */
function lastYear(crop: GrownCrop): number {
  return yearOf(crop.to ?? crop.from);
}
