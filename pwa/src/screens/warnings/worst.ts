/** The numbers of a frost warning: which place and crop is in the greatest danger, and at which line. Pure. */

export interface CropRow {
  place_id: string | undefined;
  crop_id: string | undefined;
  kind: string;
  min_c: number;
  low_c: number | undefined;
  high_c: number | undefined;
  offset_c: number;
  line_c: number | undefined;
  p: number | undefined;
}
export interface Worst {
  min_c: number | undefined;
  low_c: number | undefined;
  high_c: number | undefined;
  offset_c: number;
  /** Where nobody has said: freezing. */
  line_c: number;
  p: number | undefined;
  place_id: string | undefined;
  kind: string | undefined;
}
type Numbers = Record<string, unknown> | undefined;

/** Each crop at each place, the likeliest harm first; a crop without a known damage temperature last. */
export function cropRows(numbers: Numbers): CropRow[] {
  const places = Array.isArray(numbers?.places) ? numbers.places.filter(isRecord) : [];
  const rows = places.flatMap((place): CropRow[] => {
    const min_c = number(place.min_c);
    const crops = Array.isArray(place.crops) ? place.crops.filter(isRecord) : [];
    if (min_c === undefined) return [];
    return crops.map((crop) => ({
      place_id: text(place.place_id),
      crop_id: text(crop.crop_id),
      kind: text(crop.kind) ?? '',
      min_c,
      low_c: number(place.low_c),
      high_c: number(place.high_c),
      offset_c: number(place.offset_c) ?? 0,
      line_c: number(crop.critical_c),
      p: number(crop.p),
    }));
  });
  return rows.sort((a, b) => (b.p ?? -1) - (a.p ?? -1));
}

export function worstOf(numbers: Numbers): Worst {
  const [row] = cropRows(numbers).filter(({ p }) => p !== undefined);
  if (row) return { ...row, line_c: row.line_c ?? 0 };
  return {
    min_c: number(numbers?.min_c),
    low_c: number(numbers?.low_c),
    high_c: number(numbers?.high_c),
    offset_c: number(numbers?.difference_c) ?? 0,
    line_c: number(numbers?.critical_c) ?? number(numbers?.at_c) ?? 0,
    p: number(numbers?.p),
    place_id: undefined,
    kind: undefined,
  };
}

function isRecord(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

function number(value: unknown): number | undefined {
  return typeof value === 'number' ? value : undefined;
}

function text(value: unknown): string | undefined {
  return typeof value === 'string' && value !== '' ? value : undefined;
}
