// Made by `python -m underboard.web.contract` from the server's schemas. Do not edit: run it again.
// Times are RFC 3339 with an offset; quantities are kept as they were entered, with their unit.

export type Quantity<U extends string = string> = { value: number; unit: U };

export type PhotoRef = { sha256: string; bytes: number };

export type Taxon = { name: string; count: number };

/** One holding. Its record has the plot's own id. */
export interface Plot {
  /** What the grower calls it. Needed at creation. */
  name?: string;
  /** IANA time zone; a day is a local date in it. Needed at creation. */
  time_zone?: string;
  /** Degrees north. -90 to 90. */
  latitude?: number;
  /** Degrees east. -180 to 180. */
  longitude?: number;
  /** Show and export the location finer than 0.01°. */
  exact_location?: boolean;
  /** Preferred units: {"temperature": "degC" or "degF"}. */
  units?: Record<string, unknown>;
  /** When the max/min thermometers are read and reset. */
  reading_habit?: 'morning' | 'evening';
  /** Year the ground was broken from grass. 1800 to 2200. */
  grass_out_year?: number;
  /** Where north lies on the sketch: degrees clockwise from the top of the page. 0 to 360. */
  north_deg?: number;
  /** The plot is made up, for showing. */
  invented?: boolean;
  /** Free words. */
  note?: string;
  /** The removed record that this one brings back. */
  returned_from?: string;
  /** The import that brought it in; its note has this id. */
  import_id?: string;
}

/** A bed, tunnel, frame, path or store inside the plot. */
export interface Place {
  /** What it is. Needed at creation. */
  kind?: 'bed' | 'tunnel' | 'frame' | 'open_ground' | 'path' | 'store';
  /** Its name on the plot. Needed at creation. */
  label?: string;
  /** Length in metres. 0 to 10000. */
  length_m?: number;
  /** Width in metres. 0 to 10000. */
  width_m?: number;
  /** Corners on the sketch in metres: x to the right, y down the page. */
  outline?: [number, number][];
  /** Area in square metres, when it was measured. 0 to 1e+07. */
  area_m2?: number;
  /** Year broken from grass. 1800 to 2200. */
  broken_year?: number;
  /** What lies beside it. */
  neighbours?: ('grass_edge' | 'hedge' | 'heap')[];
  /** No longer used. */
  archived?: boolean;
  /** Free words. */
  note?: string;
  /** The removed record that this one brings back. */
  returned_from?: string;
  /** The import that brought it in; its note has this id. */
  import_id?: string;
}

/** A fixed spot where something is counted or read. */
export interface Station {
  /** What stands there. Needed at creation. */
  kind?: 'slug_board' | 'bait_trap' | 'beetle_trap' | 'thermometer' | 'grass_minimum' | 'rain_gauge';
  /** The place it lies in. */
  place_id?: string;
  /** Its name, as written on it. Needed at creation. */
  label?: string;
  /** Where it stands on the sketch: metres to the right. -10000 to 10000. */
  x_m?: number;
  /** Where it stands on the sketch: metres down the page. -10000 to 10000. */
  y_m?: number;
  /** Its turn on the walk. 0 to 100000. */
  walk_order?: number;
  /** Ground under a board, square metres. 0 to 100. */
  size_m2?: number;
  /** Diameter of a trap or core, metres. 0 to 10. */
  core_diameter_m?: number;
  /** What it is baited with. */
  bait?: string;
  /** What it is made of. */
  material?: string;
  /** How a thermometer hangs. */
  exposure?: 'screen' | 'under_cover' | 'soil';
  /** Depth in the soil, metres. 0 to 5. */
  depth_m?: number;
  /** What to add to its readings (a difference). -50 to 50. */
  offset?: Quantity<'degC' | 'degF'>;
  /** Set out on this local date. */
  set_on?: string;
  /** Taken away on this local date. */
  retired_on?: string;
  /** Free words. */
  note?: string;
  /** The removed record that this one brings back. */
  returned_from?: string;
  /** The import that brought it in; its note has this id. */
  import_id?: string;
}

/** A person of the plot. */
export interface Member {
  /** Name, as observers sign. Needed at creation. */
  name?: string;
  /** What they may do. Needed at creation. */
  role?: 'owner' | 'helper' | 'reader';
  /** Free words. */
  note?: string;
  /** The removed record that this one brings back. */
  returned_from?: string;
  /** The import that brought it in; its note has this id. */
  import_id?: string;
}

/** One walk past stations. */
export interface Round {
  /** Which walk. Needed at creation. */
  kind?: 'dawn' | 'trap' | 'readings';
  /** When it was seen, with the offset of the place. Needed at creation. */
  observed_at?: string;
  /** First station. */
  started_at?: string;
  /** Last station. */
  finished_at?: string;
  /** The soil surface. */
  surface?: 'dry' | 'damp' | 'wet';
  /** Lowest air temperature of the night before, when known. -200 to 300. */
  night_low?: Quantity<'degC' | 'degF'>;
  /** No says: leave this round out of means. */
  valid?: boolean;
  /** Why it is not valid. */
  not_valid_reason?: string;
  /** Watered, hoed or just treated. */
  disturbed?: boolean;
  /** Who saw it: a member's name. */
  observer?: string;
  /** Free words. */
  note?: string;
  /** The removed record that this one brings back. */
  returned_from?: string;
  /** The import that brought it in; its note has this id. */
  import_id?: string;
}

/** One slug board turned once. */
export interface SlugCount {
  /** The round it belongs to. */
  round_id?: string;
  /** The board. Needed at creation. */
  station_id?: string;
  /** Counted, none found, not turned and spoiled are four different things. Needed at creation. */
  state?: 'counted' | 'none_found' | 'not_turned' | 'spoiled';
  /** Slugs under the board. 0 to 9999. */
  count?: number;
  /** Of these, up to 1 cm. 0 to 9999. */
  small?: number;
  /** Of these, longer than 1 cm. 0 to 9999. */
  large?: number;
  /** Clusters of eggs. 0 to 9999. */
  egg_clusters?: number;
  /** Names with counts; aggregates are legitimate. */
  taxa?: Taxon[];
  /** The slugs were taken away. */
  removed?: boolean;
  /** Why it was not turned or is spoiled. */
  reason?: string;
  /** When it was seen, with the offset of the place. Needed at creation. */
  observed_at?: string;
  /** Who saw it: a member's name. */
  observer?: string;
  /** Photos of it. */
  photos?: PhotoRef[];
  /** Of a double count, the one that stands. */
  stands?: boolean;
  /** Of a double count, one that does not stand. */
  set_aside?: boolean;
  /** Free words. */
  note?: string;
  /** The removed record that this one brings back. */
  returned_from?: string;
  /** The import that brought it in; its note has this id. */
  import_id?: string;
}

/** One bait trap lifted, or one beetle trap emptied. Wireworms and look-alikes are kept apart. */
export interface TrapCatch {
  /** The trap. Needed at creation. */
  station_id?: string;
  /** When it was set. */
  set_at?: string;
  /** When it was lifted; none while it lies in the ground. */
  observed_at?: string;
  /** Counted, none found, not turned and spoiled are four different things. None while it lies in the ground. */
  state?: 'counted' | 'none_found' | 'not_turned' | 'spoiled';
  /** Wireworms in it. 0 to 9999. */
  wireworms?: number;
  /** Millipedes (many legs). 0 to 9999. */
  millipedes?: number;
  /** Leatherjackets (no legs). 0 to 9999. */
  leatherjackets?: number;
  /** Centipedes (fast, one pair of legs a ring). 0 to 9999. */
  centipedes?: number;
  /** Click beetles in a beetle trap. 0 to 9999. */
  beetles?: number;
  /** Baited or emptied, and set again. */
  rebaited?: boolean;
  /** Soil temperature at lifting. -200 to 300. */
  soil?: Quantity<'degC' | 'degF'>;
  /** The trap round it belongs to. */
  round_id?: string;
  /** Why it was not lifted or is spoiled. */
  reason?: string;
  /** Who saw it: a member's name. */
  observer?: string;
  /** Photos of it. */
  photos?: PhotoRef[];
  /** Free words. */
  note?: string;
  /** The removed record that this one brings back. */
  returned_from?: string;
  /** The import that brought it in; its note has this id. */
  import_id?: string;
}

/** Soil cores searched for wireworms. */
export interface SoilSample {
  /** Where. Needed at creation. */
  place_id?: string;
  /** Cores taken. 1 to 9999. Needed at creation. */
  cores?: number;
  /** Diameter of the corer, metres. 0.001 to 2. */
  core_diameter_m?: number;
  /** Depth of the cores, metres. 0 to 5. */
  depth_m?: number;
  /** Wireworms found in all cores together. 0 to 99999. */
  found?: number;
  /** How they were got out. */
  method?: 'hand_sort' | 'wash';
  /** When it was seen, with the offset of the place. Needed at creation. */
  observed_at?: string;
  /** Who saw it: a member's name. */
  observer?: string;
  /** Free words. */
  note?: string;
  /** The removed record that this one brings back. */
  returned_from?: string;
  /** The import that brought it in; its note has this id. */
  import_id?: string;
}

/** One thermometer read once, as entered. */
export interface Temperature {
  /** The thermometer. Needed at creation. */
  station_id?: string;
  /** When it was seen, with the offset of the place. Needed at creation. */
  observed_at?: string;
  /** What it shows now. -200 to 300. */
  current?: Quantity<'degC' | 'degF'>;
  /** Highest since the last reset. -200 to 300. */
  max?: Quantity<'degC' | 'degF'>;
  /** Lowest since the last reset. -200 to 300. */
  min?: Quantity<'degC' | 'degF'>;
  /** Maximum and minimum were set back after reading. */
  reset_done?: boolean;
  /** Relative humidity that a logger measured with it, percent. 0 to 100. */
  humidity_percent?: number;
  /** The readings round it belongs to. */
  round_id?: string;
  /** Who saw it: a member's name. */
  observer?: string;
  /** Free words. */
  note?: string;
  /** The removed record that this one brings back. */
  returned_from?: string;
  /** The import that brought it in; its note has this id. */
  import_id?: string;
}

/** Air and its moisture two hours after sunset: what tonight's frost is reckoned from. */
export interface Evening {
  /** Where. */
  place_id?: string;
  /** When it was seen, with the offset of the place. Needed at creation. */
  observed_at?: string;
  /** Air temperature. -200 to 300. Needed at creation. */
  air?: Quantity<'degC' | 'degF'>;
  /** Wet-bulb temperature. -200 to 300. */
  wet?: Quantity<'degC' | 'degF'>;
  /** Dew point. -200 to 300. */
  dew?: Quantity<'degC' | 'degF'>;
  /** Relative humidity, percent. 0 to 100. */
  humidity_percent?: number;
  /** The sky. */
  sky?: 'clear' | 'broken' | 'overcast';
  /** The wind. */
  wind?: 'calm' | 'light' | 'windy';
  /** Who saw it: a member's name. */
  observer?: string;
  /** Free words. */
  note?: string;
  /** The removed record that this one brings back. */
  returned_from?: string;
  /** The import that brought it in; its note has this id. */
  import_id?: string;
}

/** Plants or tubers looked at, and how many were hurt. */
export interface Damage {
  /** The crop. */
  crop_id?: string;
  /** The place. */
  place_id?: string;
  /** When it was seen, with the offset of the place. Needed at creation. */
  observed_at?: string;
  /** Looked at. 0 to 999999. Needed at creation. */
  examined?: number;
  /** Of these, damaged. 0 to 999999. Needed at creation. */
  damaged?: number;
  /** What did it, as far as known. */
  cause?: string;
  /** Who saw it: a member's name. */
  observer?: string;
  /** Photos of it. */
  photos?: PhotoRef[];
  /** Free words. */
  note?: string;
  /** The removed record that this one brings back. */
  returned_from?: string;
  /** The import that brought it in; its note has this id. */
  import_id?: string;
}

/** Words about a day or a place. */
export interface Note {
  /** When it was seen, with the offset of the place. Needed at creation. */
  observed_at?: string;
  /** The words. Needed at creation. */
  text?: string;
  /** Where, if it is about a place. */
  place_id?: string;
  /** Who saw it: a member's name. */
  observer?: string;
  /** Photos of it. */
  photos?: PhotoRef[];
  /** Free words. */
  note?: string;
  /** The removed record that this one brings back. */
  returned_from?: string;
  /** The import that brought it in; its note has this id. */
  import_id?: string;
}

/** A photo told by its SHA-256; the bytes follow by themselves. */
export interface Photo {
  /** SHA-256 of the bytes, 64 hex digits. Needed at creation. */
  sha256?: string;
  /** Size in bytes. 1 to 1e+08. */
  bytes?: number;
  /** The record it belongs to. */
  parent_id?: string;
  /** What it shows. */
  caption?: string;
  /** When it was taken. */
  taken_at?: string;
  /** When it was seen, with the offset of the place. */
  observed_at?: string;
  /** Who saw it: a member's name. */
  observer?: string;
  /** Free words. */
  note?: string;
  /** The removed record that this one brings back. */
  returned_from?: string;
  /** The import that brought it in; its note has this id. */
  import_id?: string;
}

/** One sowing or planting in a place. */
export interface Crop {
  /** Where it grows. */
  place_id?: string;
  /** Which crop. Needed at creation. */
  kind?: string;
  /** Which variety. */
  variety?: string;
  /** Which packet or batch. */
  seed_batch?: string;
  /** Chitted, sown or planted on this local date. */
  started_on?: string;
  /** Cleared on this local date. */
  ended_on?: string;
  /** Free words. */
  note?: string;
  /** The removed record that this one brings back. */
  returned_from?: string;
  /** The import that brought it in; its note has this id. */
  import_id?: string;
}

/** Something that happened to a crop. */
export interface CropEvent {
  /** The crop. Needed at creation. */
  crop_id?: string;
  /** What was done or seen. Needed at creation. */
  what?: 'chitted' | 'sown' | 'potted' | 'hardened' | 'planted' | 'covered' | 'earthed_up' | 'harvested' | 'stage';
  /** When, with the offset of the place. Needed at creation. */
  observed_at?: string;
  /** Harvest, kilograms. 0 to 1e+06. */
  kg?: number;
  /** Pieces or plants. 0 to 1e+06. */
  count?: number;
  /** Growth stage reached. */
  stage?: string;
  /** Where it went. */
  place_id?: string;
  /** Who did it: a member's name. */
  observer?: string;
  /** Photos of it. */
  photos?: PhotoRef[];
  /** Free words. */
  note?: string;
  /** The removed record that this one brings back. */
  returned_from?: string;
  /** The import that brought it in; its note has this id. */
  import_id?: string;
}

/** Something done to places against slugs or wireworms, or that changes their numbers. */
export interface Treatment {
  /** What was done. Needed at creation. */
  kind?: 'nematodes' | 'brew' | 'mulch' | 'cultivation' | 'cover' | 'hand_collection' | 'pellets' | 'watering' | 'other';
  /** Treated places. */
  place_ids?: string[];
  /** Places left untreated to compare with. */
  control_place_ids?: string[];
  /** Area treated, square metres. 0 to 1e+07. */
  area_m2?: number;
  /** Product, as on the label. */
  product?: string;
  /** Authorisation number on the label. */
  authorisation_number?: string;
  /** Days to wait before harvest, from the label. 0 to 1000. */
  harvest_interval_days?: number;
  /** The culture it came from. */
  culture_id?: string;
  /** How much was used. 0 to 1e+09. */
  amount?: Quantity<'ml' | 'l' | 'g' | 'kg' | 'million' | 'imperial_pint' | 'imperial_gallon'>;
  /** Water used, litres. 0 to 1e+06. */
  water_l?: number;
  /** Soil temperature. -200 to 300. */
  soil?: Quantity<'degC' | 'degF'>;
  /** The soil. */
  moisture?: 'dry' | 'damp' | 'wet';
  /** When, with the offset of the place. Needed at creation. */
  observed_at?: string;
  /** Who did it: a member's name. */
  observer?: string;
  /** Photos of it. */
  photos?: PhotoRef[];
  /** Free words. */
  note?: string;
  /** The removed record that this one brings back. */
  returned_from?: string;
  /** The import that brought it in; its note has this id. */
  import_id?: string;
}

/** A batch of home-raised nematodes, from start to use. What it holds is unidentified unless bought. */
export interface Culture {
  /** Its name. */
  label?: string;
  /** When it was started. Needed at creation. */
  started_at?: string;
  /** Where the animals came from. Unidentified unless bought and labelled. */
  source?: 'unidentified' | 'bought_labelled';
  /** What it is kept in. */
  vessel?: string;
  /** Temperature it is kept at. -200 to 300. */
  temperature?: Quantity<'degC' | 'degF'>;
  /** Animals counted in each aliquot. */
  aliquot_counts?: number[];
  /** Size of an aliquot, millilitres. 0 to 1000. */
  aliquot_ml?: number;
  /** Times diluted before counting. 1 to 1e+06. */
  dilution?: number;
  /** When it was strained. */
  strained_at?: string;
  /** When it was used. */
  used_at?: string;
  /** When it was thrown away. */
  discarded_at?: string;
  /** When this was last looked at. */
  observed_at?: string;
  /** Who keeps it: a member's name. */
  observer?: string;
  /** Free words. */
  note?: string;
  /** The removed record that this one brings back. */
  returned_from?: string;
  /** The import that brought it in; its note has this id. */
  import_id?: string;
}

/** A named comparison of treated against untreated places. The analysis is worked out anew each time. */
export interface Trial {
  /** Its name. Needed at creation. */
  name?: string;
  /** What it is to answer. */
  question?: string;
  /** Treated places or boards. */
  treated_ids?: string[];
  /** Untreated places or boards. */
  control_ids?: string[];
  /** Block name for each place or board id. */
  blocks?: Record<string, unknown>;
  /** Before the treatment: first day. */
  before_from?: string;
  /** Before the treatment: last day. */
  before_to?: string;
  /** After the treatment: first day. */
  after_from?: string;
  /** After the treatment: last day. */
  after_to?: string;
  /** The treatments. */
  treatment_ids?: string[];
  /** What is tried; decides when counts may judge it. */
  kind?: 'nematodes' | 'brew' | 'mulch' | 'cultivation' | 'cover' | 'hand_collection' | 'pellets' | 'watering' | 'other';
  /** Day of the treatment, planned or done. */
  treat_on?: string;
  /** How treated and untreated ones were told apart: drawn, drawn within blocks, or chosen by a person. */
  allocation?: 'random' | 'blocked' | 'chosen';
  /** What the draw began with: the same seed gives the same draw. 0 to 4.29497e+09. */
  seed?: number;
  /** The effect it is meant to find, percent fewer. 0 to 100. */
  percent_fewer?: number;
  /** Free words. */
  note?: string;
  /** The removed record that this one brings back. */
  returned_from?: string;
  /** The import that brought it in; its note has this id. */
  import_id?: string;
}

/** A rule the plot wants to be warned about. */
export interface Watch {
  /** Name of the rule. Needed at creation. */
  rule?: string;
  /** Whether it warns. */
  on?: boolean;
  /** Thresholds and choices of the rule. */
  settings?: Record<string, unknown>;
  /** No sound from this local time, HH:MM; 22:00 if left out, never if both are the same. */
  quiet_from?: string;
  /** Until this local time, HH:MM; 06:00 if left out. */
  quiet_to?: string;
  /** Ways besides the app; none given means all that are set up. */
  channels?: ('push' | 'email' | 'calendar')[];
  /** Free words. */
  note?: string;
  /** The removed record that this one brings back. */
  returned_from?: string;
  /** The import that brought it in; its note has this id. */
  import_id?: string;
}

/** What the scheduled job raised. Severity, urgency and certainty speak OASIS CAP 1.2. */
export interface Warning {
  /** Name of the rule. Needed at creation. */
  rule?: string;
  /** What it is about inside the rule; one warning a key. */
  key?: string;
  /** When it was raised. Needed at creation. */
  raised_at?: string;
  /** When its words or numbers last changed. */
  updated_at?: string;
  /** From when it holds. */
  window_start?: string;
  /** Until when it holds. */
  window_end?: string;
  /** Places it is about. */
  place_ids?: string[];
  /** Crops it is about. */
  crop_ids?: string[];
  /** Stations it is about. */
  station_ids?: string[];
  /** How bad. */
  severity?: 'Extreme' | 'Severe' | 'Moderate' | 'Minor' | 'Unknown';
  /** How soon. */
  urgency?: 'Immediate' | 'Expected' | 'Future' | 'Past' | 'Unknown';
  /** How sure. */
  certainty?: 'Observed' | 'Likely' | 'Possible' | 'Unlikely' | 'Unknown';
  /** One sentence. Needed at creation. */
  headline?: string;
  /** The numbers and the rule. */
  why?: string;
  /** What growers commonly do about it. */
  advice?: string;
  /** What to take care of. */
  caution?: string;
  /** The numbers it rests on, with interval. */
  numbers?: Record<string, unknown>;
  /** How good the rule has been on this plot so far. */
  score?: Record<string, unknown>;
  /** No: only in the app, such as a night that is over. */
  loud?: boolean;
  /** When it no longer held. */
  ended_at?: string;
  /** Free words. */
  note?: string;
  /** The removed record that this one brings back. */
  returned_from?: string;
  /** The import that brought it in; its note has this id. */
  import_id?: string;
}

/** What people did about a warning and what really happened. */
export interface WarningReply {
  /** The warning. Needed at creation. */
  warning_id?: string;
  /** When this was said. Needed at creation. */
  observed_at?: string;
  /** It was read. */
  seen?: boolean;
  /** Something was done. */
  acted?: boolean;
  /** What really happened. */
  outcome?: 'happened' | 'did_not_happen' | 'not_known';
  /** Who says so: a member's name. */
  observer?: string;
  /** Free words. */
  note?: string;
  /** The removed record that this one brings back. */
  returned_from?: string;
  /** The import that brought it in; its note has this id. */
  import_id?: string;
}

/** What the server has learned from the plot's own records, so that a phone reckons the same offline. */
export interface Learned {
  /** Since when this plot is watched. */
  since?: string;
  /** An answer of frost-fit over the plot's nights. */
  frost_fit?: Record<string, unknown>;
  /** By place: how its minimum differs from the open. */
  offsets?: Record<string, unknown>;
  /** By rule: how it has done on this plot. */
  scores?: Record<string, unknown>;
  /** Free words. */
  note?: string;
  /** The removed record that this one brings back. */
  returned_from?: string;
  /** The import that brought it in; its note has this id. */
  import_id?: string;
}

/** Record type on the wire → its interface. */
export interface RecordOf {
  plot: Plot;
  place: Place;
  station: Station;
  member: Member;
  round: Round;
  slug_count: SlugCount;
  trap_catch: TrapCatch;
  soil_sample: SoilSample;
  temperature: Temperature;
  evening: Evening;
  damage: Damage;
  note: Note;
  photo: Photo;
  crop: Crop;
  crop_event: CropEvent;
  treatment: Treatment;
  culture: Culture;
  trial: Trial;
  watch: Watch;
  warning: Warning;
  warning_reply: WarningReply;
  learned: Learned;
}
export type RecordType = keyof RecordOf;

/** A change of a record: null clears a field that is not required. */
export type SetOf<T extends RecordType> = { [K in keyof RecordOf[T]]?: RecordOf[T][K] | null };

/** Written by the server alone; a phone that pushes one is refused. */
export const SERVER_WRITTEN: readonly RecordType[] = ['warning', 'learned'];

export type FieldKind = 'choice' | 'choices' | 'day' | 'instant' | 'number' | 'numbers' | 'outline' | 'photos' | 'quantity' | 'ref' | 'refs' | 'settings' | 'taxa' | 'text' | 'time_zone' | 'whole' | 'yes_no';
export interface FieldSpec {
  kind: FieldKind;
  required?: true;
  choices?: readonly string[];
  units?: readonly string[];
  minimum?: number;
  maximum?: number;
  max_length?: number;
  target?: string;
}

/** What each field may hold: enough to check an entry on the phone before it is saved. */
export const RECORD_FIELDS: { readonly [T in RecordType]: { readonly [field: string]: FieldSpec } } = {
  plot: {
    name: { kind: 'text', required: true, max_length: 120 },
    time_zone: { kind: 'time_zone', required: true },
    latitude: { kind: 'number', minimum: -90, maximum: 90 },
    longitude: { kind: 'number', minimum: -180, maximum: 180 },
    exact_location: { kind: 'yes_no' },
    units: { kind: 'settings' },
    reading_habit: { kind: 'choice', choices: ['morning', 'evening'] },
    grass_out_year: { kind: 'whole', minimum: 1800, maximum: 2200 },
    north_deg: { kind: 'number', minimum: 0, maximum: 360 },
    invented: { kind: 'yes_no' },
    note: { kind: 'text', max_length: 4000 },
    returned_from: { kind: 'ref' },
    import_id: { kind: 'ref' },
  },
  place: {
    kind: { kind: 'choice', required: true, choices: ['bed', 'tunnel', 'frame', 'open_ground', 'path', 'store'] },
    label: { kind: 'text', required: true, max_length: 80 },
    length_m: { kind: 'number', minimum: 0, maximum: 10000 },
    width_m: { kind: 'number', minimum: 0, maximum: 10000 },
    outline: { kind: 'outline', max_length: 200 },
    area_m2: { kind: 'number', minimum: 0, maximum: 10000000.0 },
    broken_year: { kind: 'whole', minimum: 1800, maximum: 2200 },
    neighbours: { kind: 'choices', choices: ['grass_edge', 'hedge', 'heap'], max_length: 200 },
    archived: { kind: 'yes_no' },
    note: { kind: 'text', max_length: 4000 },
    returned_from: { kind: 'ref' },
    import_id: { kind: 'ref' },
  },
  station: {
    kind: { kind: 'choice', required: true, choices: ['slug_board', 'bait_trap', 'beetle_trap', 'thermometer', 'grass_minimum', 'rain_gauge'] },
    place_id: { kind: 'ref', target: 'place' },
    label: { kind: 'text', required: true, max_length: 80 },
    x_m: { kind: 'number', minimum: -10000, maximum: 10000 },
    y_m: { kind: 'number', minimum: -10000, maximum: 10000 },
    walk_order: { kind: 'whole', minimum: 0, maximum: 100000 },
    size_m2: { kind: 'number', minimum: 0, maximum: 100 },
    core_diameter_m: { kind: 'number', minimum: 0, maximum: 10 },
    bait: { kind: 'text', max_length: 200 },
    material: { kind: 'text', max_length: 200 },
    exposure: { kind: 'choice', choices: ['screen', 'under_cover', 'soil'] },
    depth_m: { kind: 'number', minimum: 0, maximum: 5 },
    offset: { kind: 'quantity', units: ['degC', 'degF'], minimum: -50, maximum: 50 },
    set_on: { kind: 'day' },
    retired_on: { kind: 'day' },
    note: { kind: 'text', max_length: 4000 },
    returned_from: { kind: 'ref' },
    import_id: { kind: 'ref' },
  },
  member: {
    name: { kind: 'text', required: true, max_length: 80 },
    role: { kind: 'choice', required: true, choices: ['owner', 'helper', 'reader'] },
    note: { kind: 'text', max_length: 4000 },
    returned_from: { kind: 'ref' },
    import_id: { kind: 'ref' },
  },
  round: {
    kind: { kind: 'choice', required: true, choices: ['dawn', 'trap', 'readings'] },
    observed_at: { kind: 'instant', required: true },
    started_at: { kind: 'instant' },
    finished_at: { kind: 'instant' },
    surface: { kind: 'choice', choices: ['dry', 'damp', 'wet'] },
    night_low: { kind: 'quantity', units: ['degC', 'degF'], minimum: -200, maximum: 300 },
    valid: { kind: 'yes_no' },
    not_valid_reason: { kind: 'text', max_length: 400 },
    disturbed: { kind: 'yes_no' },
    observer: { kind: 'text', max_length: 80 },
    note: { kind: 'text', max_length: 4000 },
    returned_from: { kind: 'ref' },
    import_id: { kind: 'ref' },
  },
  slug_count: {
    round_id: { kind: 'ref', target: 'round' },
    station_id: { kind: 'ref', required: true, target: 'station' },
    state: { kind: 'choice', required: true, choices: ['counted', 'none_found', 'not_turned', 'spoiled'] },
    count: { kind: 'whole', minimum: 0, maximum: 9999 },
    small: { kind: 'whole', minimum: 0, maximum: 9999 },
    large: { kind: 'whole', minimum: 0, maximum: 9999 },
    egg_clusters: { kind: 'whole', minimum: 0, maximum: 9999 },
    taxa: { kind: 'taxa', max_length: 50 },
    removed: { kind: 'yes_no' },
    reason: { kind: 'text', max_length: 400 },
    observed_at: { kind: 'instant', required: true },
    observer: { kind: 'text', max_length: 80 },
    photos: { kind: 'photos', max_length: 20 },
    stands: { kind: 'yes_no' },
    set_aside: { kind: 'yes_no' },
    note: { kind: 'text', max_length: 4000 },
    returned_from: { kind: 'ref' },
    import_id: { kind: 'ref' },
  },
  trap_catch: {
    station_id: { kind: 'ref', required: true, target: 'station' },
    set_at: { kind: 'instant' },
    observed_at: { kind: 'instant' },
    state: { kind: 'choice', choices: ['counted', 'none_found', 'not_turned', 'spoiled'] },
    wireworms: { kind: 'whole', minimum: 0, maximum: 9999 },
    millipedes: { kind: 'whole', minimum: 0, maximum: 9999 },
    leatherjackets: { kind: 'whole', minimum: 0, maximum: 9999 },
    centipedes: { kind: 'whole', minimum: 0, maximum: 9999 },
    beetles: { kind: 'whole', minimum: 0, maximum: 9999 },
    rebaited: { kind: 'yes_no' },
    soil: { kind: 'quantity', units: ['degC', 'degF'], minimum: -200, maximum: 300 },
    round_id: { kind: 'ref', target: 'round' },
    reason: { kind: 'text', max_length: 400 },
    observer: { kind: 'text', max_length: 80 },
    photos: { kind: 'photos', max_length: 20 },
    note: { kind: 'text', max_length: 4000 },
    returned_from: { kind: 'ref' },
    import_id: { kind: 'ref' },
  },
  soil_sample: {
    place_id: { kind: 'ref', required: true, target: 'place' },
    cores: { kind: 'whole', required: true, minimum: 1, maximum: 9999 },
    core_diameter_m: { kind: 'number', minimum: 0.001, maximum: 2 },
    depth_m: { kind: 'number', minimum: 0, maximum: 5 },
    found: { kind: 'whole', minimum: 0, maximum: 99999 },
    method: { kind: 'choice', choices: ['hand_sort', 'wash'] },
    observed_at: { kind: 'instant', required: true },
    observer: { kind: 'text', max_length: 80 },
    note: { kind: 'text', max_length: 4000 },
    returned_from: { kind: 'ref' },
    import_id: { kind: 'ref' },
  },
  temperature: {
    station_id: { kind: 'ref', required: true, target: 'station' },
    observed_at: { kind: 'instant', required: true },
    current: { kind: 'quantity', units: ['degC', 'degF'], minimum: -200, maximum: 300 },
    max: { kind: 'quantity', units: ['degC', 'degF'], minimum: -200, maximum: 300 },
    min: { kind: 'quantity', units: ['degC', 'degF'], minimum: -200, maximum: 300 },
    reset_done: { kind: 'yes_no' },
    humidity_percent: { kind: 'number', minimum: 0, maximum: 100 },
    round_id: { kind: 'ref', target: 'round' },
    observer: { kind: 'text', max_length: 80 },
    note: { kind: 'text', max_length: 4000 },
    returned_from: { kind: 'ref' },
    import_id: { kind: 'ref' },
  },
  evening: {
    place_id: { kind: 'ref', target: 'place' },
    observed_at: { kind: 'instant', required: true },
    air: { kind: 'quantity', required: true, units: ['degC', 'degF'], minimum: -200, maximum: 300 },
    wet: { kind: 'quantity', units: ['degC', 'degF'], minimum: -200, maximum: 300 },
    dew: { kind: 'quantity', units: ['degC', 'degF'], minimum: -200, maximum: 300 },
    humidity_percent: { kind: 'number', minimum: 0, maximum: 100 },
    sky: { kind: 'choice', choices: ['clear', 'broken', 'overcast'] },
    wind: { kind: 'choice', choices: ['calm', 'light', 'windy'] },
    observer: { kind: 'text', max_length: 80 },
    note: { kind: 'text', max_length: 4000 },
    returned_from: { kind: 'ref' },
    import_id: { kind: 'ref' },
  },
  damage: {
    crop_id: { kind: 'ref', target: 'crop' },
    place_id: { kind: 'ref', target: 'place' },
    observed_at: { kind: 'instant', required: true },
    examined: { kind: 'whole', required: true, minimum: 0, maximum: 999999 },
    damaged: { kind: 'whole', required: true, minimum: 0, maximum: 999999 },
    cause: { kind: 'text', max_length: 200 },
    observer: { kind: 'text', max_length: 80 },
    photos: { kind: 'photos', max_length: 20 },
    note: { kind: 'text', max_length: 4000 },
    returned_from: { kind: 'ref' },
    import_id: { kind: 'ref' },
  },
  note: {
    observed_at: { kind: 'instant', required: true },
    text: { kind: 'text', required: true, max_length: 8000 },
    place_id: { kind: 'ref', target: 'place' },
    observer: { kind: 'text', max_length: 80 },
    photos: { kind: 'photos', max_length: 20 },
    note: { kind: 'text', max_length: 4000 },
    returned_from: { kind: 'ref' },
    import_id: { kind: 'ref' },
  },
  photo: {
    sha256: { kind: 'text', required: true, max_length: 64 },
    bytes: { kind: 'whole', minimum: 1, maximum: 100000000 },
    parent_id: { kind: 'ref' },
    caption: { kind: 'text', max_length: 400 },
    taken_at: { kind: 'instant' },
    observed_at: { kind: 'instant' },
    observer: { kind: 'text', max_length: 80 },
    note: { kind: 'text', max_length: 4000 },
    returned_from: { kind: 'ref' },
    import_id: { kind: 'ref' },
  },
  crop: {
    place_id: { kind: 'ref', target: 'place' },
    kind: { kind: 'text', required: true, max_length: 80 },
    variety: { kind: 'text', max_length: 80 },
    seed_batch: { kind: 'text', max_length: 80 },
    started_on: { kind: 'day' },
    ended_on: { kind: 'day' },
    note: { kind: 'text', max_length: 4000 },
    returned_from: { kind: 'ref' },
    import_id: { kind: 'ref' },
  },
  crop_event: {
    crop_id: { kind: 'ref', required: true, target: 'crop' },
    what: { kind: 'choice', required: true, choices: ['chitted', 'sown', 'potted', 'hardened', 'planted', 'covered', 'earthed_up', 'harvested', 'stage'] },
    observed_at: { kind: 'instant', required: true },
    kg: { kind: 'number', minimum: 0, maximum: 1000000.0 },
    count: { kind: 'whole', minimum: 0, maximum: 1000000 },
    stage: { kind: 'text', max_length: 80 },
    place_id: { kind: 'ref', target: 'place' },
    observer: { kind: 'text', max_length: 80 },
    photos: { kind: 'photos', max_length: 20 },
    note: { kind: 'text', max_length: 4000 },
    returned_from: { kind: 'ref' },
    import_id: { kind: 'ref' },
  },
  treatment: {
    kind: { kind: 'choice', required: true, choices: ['nematodes', 'brew', 'mulch', 'cultivation', 'cover', 'hand_collection', 'pellets', 'watering', 'other'] },
    place_ids: { kind: 'refs', target: 'place', max_length: 500 },
    control_place_ids: { kind: 'refs', target: 'place', max_length: 500 },
    area_m2: { kind: 'number', minimum: 0, maximum: 10000000.0 },
    product: { kind: 'text', max_length: 200 },
    authorisation_number: { kind: 'text', max_length: 80 },
    harvest_interval_days: { kind: 'whole', minimum: 0, maximum: 1000 },
    culture_id: { kind: 'ref', target: 'culture' },
    amount: { kind: 'quantity', units: ['ml', 'l', 'g', 'kg', 'million', 'imperial_pint', 'imperial_gallon'], minimum: 0, maximum: 1000000000.0 },
    water_l: { kind: 'number', minimum: 0, maximum: 1000000.0 },
    soil: { kind: 'quantity', units: ['degC', 'degF'], minimum: -200, maximum: 300 },
    moisture: { kind: 'choice', choices: ['dry', 'damp', 'wet'] },
    observed_at: { kind: 'instant', required: true },
    observer: { kind: 'text', max_length: 80 },
    photos: { kind: 'photos', max_length: 20 },
    note: { kind: 'text', max_length: 4000 },
    returned_from: { kind: 'ref' },
    import_id: { kind: 'ref' },
  },
  culture: {
    label: { kind: 'text', max_length: 80 },
    started_at: { kind: 'instant', required: true },
    source: { kind: 'choice', choices: ['unidentified', 'bought_labelled'] },
    vessel: { kind: 'text', max_length: 200 },
    temperature: { kind: 'quantity', units: ['degC', 'degF'], minimum: -200, maximum: 300 },
    aliquot_counts: { kind: 'numbers', max_length: 100 },
    aliquot_ml: { kind: 'number', minimum: 0, maximum: 1000 },
    dilution: { kind: 'number', minimum: 1, maximum: 1000000.0 },
    strained_at: { kind: 'instant' },
    used_at: { kind: 'instant' },
    discarded_at: { kind: 'instant' },
    observed_at: { kind: 'instant' },
    observer: { kind: 'text', max_length: 80 },
    note: { kind: 'text', max_length: 4000 },
    returned_from: { kind: 'ref' },
    import_id: { kind: 'ref' },
  },
  trial: {
    name: { kind: 'text', required: true, max_length: 120 },
    question: { kind: 'text', max_length: 1000 },
    treated_ids: { kind: 'refs', max_length: 500 },
    control_ids: { kind: 'refs', max_length: 500 },
    blocks: { kind: 'settings' },
    before_from: { kind: 'day' },
    before_to: { kind: 'day' },
    after_from: { kind: 'day' },
    after_to: { kind: 'day' },
    treatment_ids: { kind: 'refs', target: 'treatment', max_length: 100 },
    kind: { kind: 'choice', choices: ['nematodes', 'brew', 'mulch', 'cultivation', 'cover', 'hand_collection', 'pellets', 'watering', 'other'] },
    treat_on: { kind: 'day' },
    allocation: { kind: 'choice', choices: ['random', 'blocked', 'chosen'] },
    seed: { kind: 'whole', minimum: 0, maximum: 4294967295 },
    percent_fewer: { kind: 'number', minimum: 0, maximum: 100 },
    note: { kind: 'text', max_length: 4000 },
    returned_from: { kind: 'ref' },
    import_id: { kind: 'ref' },
  },
  watch: {
    rule: { kind: 'text', required: true, max_length: 80 },
    on: { kind: 'yes_no' },
    settings: { kind: 'settings' },
    quiet_from: { kind: 'text', max_length: 5 },
    quiet_to: { kind: 'text', max_length: 5 },
    channels: { kind: 'choices', choices: ['push', 'email', 'calendar'], max_length: 200 },
    note: { kind: 'text', max_length: 4000 },
    returned_from: { kind: 'ref' },
    import_id: { kind: 'ref' },
  },
  warning: {
    rule: { kind: 'text', required: true, max_length: 80 },
    key: { kind: 'text', max_length: 200 },
    raised_at: { kind: 'instant', required: true },
    updated_at: { kind: 'instant' },
    window_start: { kind: 'instant' },
    window_end: { kind: 'instant' },
    place_ids: { kind: 'refs', target: 'place', max_length: 500 },
    crop_ids: { kind: 'refs', target: 'crop', max_length: 500 },
    station_ids: { kind: 'refs', target: 'station', max_length: 500 },
    severity: { kind: 'choice', choices: ['Extreme', 'Severe', 'Moderate', 'Minor', 'Unknown'] },
    urgency: { kind: 'choice', choices: ['Immediate', 'Expected', 'Future', 'Past', 'Unknown'] },
    certainty: { kind: 'choice', choices: ['Observed', 'Likely', 'Possible', 'Unlikely', 'Unknown'] },
    headline: { kind: 'text', required: true, max_length: 400 },
    why: { kind: 'text', max_length: 4000 },
    advice: { kind: 'text', max_length: 4000 },
    caution: { kind: 'text', max_length: 4000 },
    numbers: { kind: 'settings' },
    score: { kind: 'settings' },
    loud: { kind: 'yes_no' },
    ended_at: { kind: 'instant' },
    note: { kind: 'text', max_length: 4000 },
    returned_from: { kind: 'ref' },
    import_id: { kind: 'ref' },
  },
  warning_reply: {
    warning_id: { kind: 'ref', required: true, target: 'warning' },
    observed_at: { kind: 'instant', required: true },
    seen: { kind: 'yes_no' },
    acted: { kind: 'yes_no' },
    outcome: { kind: 'choice', choices: ['happened', 'did_not_happen', 'not_known'] },
    observer: { kind: 'text', max_length: 80 },
    note: { kind: 'text', max_length: 4000 },
    returned_from: { kind: 'ref' },
    import_id: { kind: 'ref' },
  },
  learned: {
    since: { kind: 'instant' },
    frost_fit: { kind: 'settings' },
    offsets: { kind: 'settings' },
    scores: { kind: 'settings' },
    note: { kind: 'text', max_length: 4000 },
    returned_from: { kind: 'ref' },
    import_id: { kind: 'ref' },
  },
};

export type RuleGroup = 'tonight' | 'pests' | 'ground' | 'work' | 'house';
export interface RuleSetting {
  name: string;
  kind: 'number' | 'whole' | 'yes_no' | 'choice' | 'text';
  /** What it is when the person says nothing, or something unfit. */
  default: number | boolean | string | null;
  doc: string;
  unit?: string;
  /** Bounds of a number, both included. */
  low?: number;
  high?: number;
  choices?: readonly string[];
}
export interface RuleSpec {
  name: string;
  title: string;
  question: string;
  group: RuleGroup;
  /** Whether it warns when the person has not said. */
  on: boolean;
  /** Whether it speaks in quiet hours when the person has not said. */
  wake: boolean;
  source: string;
  settings: readonly RuleSetting[];
}

/** What the plot may be warned about, in the order in which people read it. */
export const RULES: readonly RuleSpec[] = [
  {
    name: 'frost',
    title: 'Frost tonight',
    question: 'May frost hurt something tonight?',
    group: 'tonight',
    on: true,
    wake: true,
    source: 'Snyder & de Melo-Abreu 2005, Frost protection, vol. 1, ch. 5, FAO; Murphy 1977 (cost and loss)',
    settings: [
      { name: 'cost', kind: 'number', default: 4.0, low: 0, high: 1000000.0, doc: 'What covering costs each time, in minutes or money (common practice, no source).' },
      { name: 'loss', kind: 'number', default: 60.0, low: 0, high: 1000000.0, doc: 'What the harm costs if nothing is done, in the same unit (common practice, no source).' },
      { name: 'at_c', kind: 'number', default: null, unit: '°C', low: -20, high: 15, doc: 'Warn whenever it may fall to this temperature or lower, whatever stands; empty for not at all.' },
    ],
  },
  {
    name: 'ground_frost',
    title: 'Ground frost',
    question: 'May it freeze at the ground tonight?',
    group: 'tonight',
    on: true,
    wake: false,
    source: 'grass less air, learned on this plot; before that a rule of thumb (common practice, no source)',
    settings: [
      { name: 'cost', kind: 'number', default: 4.0, low: 0, high: 1000000.0, doc: 'What covering costs each time, in minutes or money (common practice, no source).' },
      { name: 'loss', kind: 'number', default: 60.0, low: 0, high: 1000000.0, doc: 'What the harm costs if nothing is done, in the same unit (common practice, no source).' },
    ],
  },
  {
    name: 'evening_reading',
    title: 'Evening reading missing',
    question: 'Is the evening reading missing on a night on which it may freeze?',
    group: 'tonight',
    on: true,
    wake: false,
    source: 'two hours after sunset: Snyder & de Melo-Abreu 2005, FAO, ch. 5; the reminder: common practice, no source',
    settings: [
    ],
  },
  {
    name: 'heat',
    title: 'Too hot under cover',
    question: 'Is it too hot in the tunnel or the frame?',
    group: 'tonight',
    on: true,
    wake: false,
    source: 'common practice, no source',
    settings: [
      { name: 'limit_c', kind: 'number', default: 30.0, unit: '°C', low: 15, high: 60, doc: 'Too hot above this (common practice, no source).' },
    ],
  },
  {
    name: 'surge',
    title: 'Slug surge',
    question: 'Are there more slugs than usual, and where?',
    group: 'pests',
    on: true,
    wake: false,
    source: 'our own, judged by simulation (HONESTY.md); gamma prior after Clayton & Kaldor 1987, Biometrics 43:671',
    settings: [
      { name: 'one_false_in', kind: 'whole', default: 60, unit: 'quiet rounds', low: 20, high: 1000, doc: 'Accept one false alarm in so many quiet rounds: fewer is more watchful (simulated at 60).' },
      { name: 'current_days', kind: 'whole', default: 10, unit: 'days', low: 2, high: 30, doc: 'A round older than this is no longer news (common practice, no source).' },
    ],
  },
  {
    name: 'threshold',
    title: 'Slugs above your threshold',
    question: 'Is the mean a board above what I will stand?',
    group: 'pests',
    on: true,
    wake: false,
    source: 'threshold: your own; mean: Anscombe 1950, Biometrika 37:358, Garwood 1936, Biometrika 28:437',
    settings: [
      { name: 'mean_per_board', kind: 'number', default: null, unit: 'slugs a board', low: 0.1, high: 1000, doc: 'Your own threshold for the mean of all boards of a round; without one the rule is silent.' },
      { name: 'chance_percent', kind: 'number', default: 50.0, unit: '%', low: 5, high: 99, doc: 'How likely it must be that the true mean is above the threshold (50: as soon as the mean is).' },
      { name: 'current_days', kind: 'whole', default: 10, unit: 'days', low: 2, high: 30, doc: 'A round older than this is no longer news (common practice, no source).' },
    ],
  },
  {
    name: 'wireworm',
    title: 'Wireworm verdict',
    question: 'Which beds may carry potatoes or carrots this year?',
    group: 'pests',
    on: true,
    wake: false,
    source: 'limits: Garwood 1936; traps: Furlan 2014, J. Pest Sci. 87:609, and common practice, no source',
    settings: [
      { name: 'from_month', kind: 'whole', default: 2, low: 1, high: 12, doc: 'First month in which the verdict is told: when potatoes are ordered and beds are chosen.' },
      { name: 'to_month', kind: 'whole', default: 5, low: 1, high: 12, doc: 'Last month in which the verdict is told: when the last potatoes and carrots go in.' },
      { name: 'plant_per_trap', kind: 'number', default: 0.5, unit: 'wireworms a trap', low: 0.05, high: 10, doc: 'So many a trap on average would be tolerated (common practice, no source; nobody publishes one for a small plot).' },
      { name: 'do_not_per_trap', kind: 'number', default: 1.0, unit: 'wireworms a trap', low: 0.1, high: 20, doc: 'From so many a trap on: do not plant. Above 1 a trap maize was hurt by Agriotes brevis (Furlan 2014; not a British species).' },
      { name: 'do_not_per_ha', kind: 'number', default: 60000.0, unit: 'wireworms a hectare', low: 5000, high: 1000000, doc: 'From such a density in soil cores on: do not plant. About 60,000 a hectare can do major damage (ADAS, in the farming press, 2001).' },
      { name: 'clumping_k', kind: 'number', default: 0.5, low: 0.05, high: 100, doc: 'How clumped wireworms lie between traps: small is clumped and needs more traps (from memory, no source).' },
    ],
  },
  {
    name: 'traps_due',
    title: 'Trap due',
    question: 'Which traps are due to be lifted?',
    group: 'work',
    on: true,
    wake: false,
    source: 'Farm Advisory Service (SAC Consulting), project PHC2024/04, April 2025; Furlan 2014, J. Pest Sci. 87:609',
    settings: [
      { name: 'first_day', kind: 'whole', default: 10, unit: 'days', low: 7, high: 14, doc: 'Days in the ground from which a bait trap is due (10 to 14, Farm Advisory Service 2025).' },
      { name: 'beetle_days', kind: 'whole', default: 7, unit: 'days', low: 2, high: 30, doc: 'Days between readings of a beetle trap (weekly, ADAS and AHDB advice 2001 to 2011).' },
    ],
  },
  {
    name: 'trap_not_valid',
    title: 'Trap not valid',
    question: 'Which traps do not count, and why?',
    group: 'work',
    on: true,
    wake: false,
    source: 'Farm Advisory Service (SAC Consulting), project PHC2024/04, April 2025; Furlan 2014, J. Pest Sci. 87:609',
    settings: [
      { name: 'days', kind: 'whole', default: 14, unit: 'days', low: 1, high: 60, doc: 'How long after lifting a trap that does not count stays in view (common practice, no source).' },
    ],
  },
  {
    name: 'soil_window',
    title: 'Soil warm enough',
    question: 'Is the soil warm enough to sow or plant, and about when will it be?',
    group: 'ground',
    on: true,
    wake: false,
    source: 'Oregon State University extension, after Harrington & Minges 1954; potato 45 °F second hand',
    settings: [
      { name: 'crops', kind: 'text', default: 'potato, carrot, bean', doc: 'Crops to watch the soil for, with commas between: asparagus, bean, beet, cabbage, carrot, cucumber, lettuce, maize, onion, parsnip, pea, pepper, potato, radish, spinach, squash, tomato.' },
      { name: 'days', kind: 'whole', default: 5, unit: 'days', low: 2, high: 14, doc: 'Days whose mean counts (several days: common practice, no source).' },
      { name: 'last_month', kind: 'whole', default: 6, low: 1, high: 12, doc: 'Last month in which it is told (common practice, no source).' },
    ],
  },
  {
    name: 'plant_out',
    title: 'Plant-out risk',
    question: 'How likely is a frost after the day on which tender plants go out?',
    group: 'ground',
    on: true,
    wake: false,
    source: 'NOAA freeze/frost probabilities (mixed distribution); Wilson 1927, J. Am. Stat. Assoc. 22:209',
    settings: [
      { name: 'plant_out_on', kind: 'text', default: '05-20', doc: 'The day you mean to plant out, month and day: 05-20 is 20 May (common practice, no source).' },
      { name: 'days_before', kind: 'whole', default: 21, unit: 'days', low: 3, high: 90, doc: 'Say so this many days before.' },
      { name: 'risk_percent', kind: 'number', default: 10.0, unit: '%', low: 1, high: 90, doc: 'Above this risk it sounds; below it stands in the app alone (common practice, no source).' },
      { name: 'fewest_springs', kind: 'whole', default: 5, unit: 'springs', low: 3, high: 30, doc: 'Own springs that are needed; 20 to 30 are customary for such a figure (NOAA).' },
    ],
  },
  {
    name: 'nematode_window',
    title: 'Nematode window',
    question: 'Is this the time to water in nematodes, and when again?',
    group: 'ground',
    on: true,
    wake: false,
    source: 'UK suppliers\' leaflets on slug nematodes (5 to 20 °C, March to October, 6 weeks, 3 m from ponds)',
    settings: [
      { name: 'offer', kind: 'yes_no', default: false, doc: 'Tell of the window even if no nematodes have been used here.' },
      { name: 'again_days', kind: 'whole', default: 21, unit: 'days', low: 7, high: 60, doc: 'How long it is told that a place is due again (common practice, no source).' },
    ],
  },
  {
    name: 'treatment_scored',
    title: 'Treatment scored',
    question: 'Did the treatment work?',
    group: 'work',
    on: true,
    wake: false,
    source: 'Henderson & Tilton 1955, J. Econ. Entomol. 48:157; McCullagh & Nelder 1989; window: suppliers\' leaflets',
    settings: [
      { name: 'rounds_after', kind: 'whole', default: 3, unit: 'rounds', low: 1, high: 20, doc: 'Valid rounds from day 7 to 42 that are needed before it is scored (common practice, no source).' },
      { name: 'days_shown', kind: 'whole', default: 14, unit: 'days', low: 0, high: 60, doc: 'How long after day 42 the answer stays (common practice, no source).' },
    ],
  },
  {
    name: 'blight',
    title: 'Blight weather',
    question: 'Was the weather right for potato blight?',
    group: 'pests',
    on: true,
    wake: false,
    source: 'Hutton criteria, James Hutton Institute and AHDB 2017 (from memory)',
    settings: [
      { name: 'current_days', kind: 'whole', default: 5, unit: 'days', low: 1, high: 14, doc: 'How long such a pair of days stays in view (common practice, no source).' },
    ],
  },
  {
    name: 'round_missed',
    title: 'Round missed',
    question: 'Has a usual round been left out?',
    group: 'house',
    on: true,
    wake: false,
    source: 'common practice, no source',
    settings: [
      { name: 'every_days', kind: 'whole', default: 0, unit: 'days', low: 0, high: 60, doc: 'A round is agreed for every so many days; 0 learns it from the plot\'s own rounds.' },
      { name: 'first_month', kind: 'whole', default: 3, low: 1, high: 12, doc: 'First month in which rounds are expected (common practice, no source).' },
      { name: 'last_month', kind: 'whole', default: 10, low: 1, high: 12, doc: 'Last month in which rounds are expected (common practice, no source).' },
    ],
  },
  {
    name: 'reading_implausible',
    title: 'Reading doubtful',
    question: 'Was a thermometer misread, or not reset?',
    group: 'house',
    on: true,
    wake: false,
    source: 'limits wider than any British record, from memory; margins: common practice, no source',
    settings: [
      { name: 'days', kind: 'whole', default: 3, unit: 'days', low: 1, high: 30, doc: 'How long a doubtful reading stays in view (common practice, no source).' },
      { name: 'not_reset', kind: 'yes_no', default: true, doc: 'Say so, too, when a maximum or minimum was read and the thermometer not reset.' },
    ],
  },
  {
    name: 'phone_not_synced',
    title: 'Phone not synced',
    question: 'Which phone has not been heard from?',
    group: 'house',
    on: true,
    wake: false,
    source: 'common practice, no source',
    settings: [
      { name: 'days', kind: 'whole', default: 7, unit: 'days', low: 1, high: 90, doc: 'Say so after this many days without a sync (common practice, no source).' },
    ],
  },
  {
    name: 'backup_old',
    title: 'Backup old',
    question: 'Is there a backup that is new enough?',
    group: 'house',
    on: true,
    wake: false,
    source: 'common practice, no source',
    settings: [
      { name: 'days', kind: 'whole', default: 14, unit: 'days', low: 1, high: 365, doc: 'How old the newest backup may be (common practice, no source).' },
    ],
  },
  {
    name: 'certificate_ending',
    title: 'Certificate ending',
    question: 'Will phones still be able to sync?',
    group: 'house',
    on: true,
    wake: false,
    source: 'common practice, no source',
    settings: [
      { name: 'days', kind: 'whole', default: 20, unit: 'days', low: 1, high: 180, doc: 'Say so this many days before it ends; the last 7 are graver (common practice, no source).' },
    ],
  },
];

/** One value that can't be taken. */
export interface ProblemFault {
  /** JSON pointer (RFC 6901) to the value. */
  pointer: string;
  /** What would be right. */
  detail: string;
}

/** An error answer (RFC 9457). */
export interface Problem {
  /** Kind of problem, such as /problems/epoch. */
  type: string;
  /** The kind in words. */
  title: string;
  /** HTTP status. */
  status: number;
  /** What went wrong here and what to do. */
  detail?: string;
  /** Values that can't be taken. */
  errors?: ProblemFault[];
  /** To find this request in the server's log. */
  request_id?: string;
  /** Epoch problem: the epoch that holds now. */
  epoch?: string;
  /** Schema problem: oldest schema taken. */
  min?: number;
  /** Schema problem: newest schema known. */
  max?: number;
  /** Too large: what is taken at most [bytes]. */
  max_bytes?: number;
  /** Too large: how many operations are taken at most. */
  max_ops?: number;
}

/** Which record schemas the server understands. */
export interface SchemaRange {
  min: number;
  max: number;
}

/** Who answers here; asked before every sync, so that a stranger's network is told from home. */
export interface Hello {
  app: 'underboard';
  /** This server's own id. */
  server_id: string;
  protocol: number;
  version: string;
  schema: SchemaRange;
  server_now: string;
  /** Whether somebody owns a plot here already. */
  claimed: boolean;
  /** Whether this address lets a phone keep records offline (https or this machine). */
  secure: boolean;
  /** Where this server is found by https, best first. */
  https: string[];
}

/** A one-time code in exchange for a place in the plot. */
export interface PairRequest {
  code: string;
  device_name: string;
  want?: 'cookie' | 'token';
}

/** The new device; `token` only for loggers and scripts that asked for one. */
export interface PairAnswer {
  device_id: string;
  plot_id: string;
  role: 'owner' | 'helper' | 'reader';
  plot_name: string | null;
  /** Bearer token, shown this once. */
  token?: string;
}

/** The device that asks. */
export interface Me {
  device_id: string;
  device_name: string;
  plot_id: string;
  plot_name: string | null;
  role: 'owner' | 'helper' | 'reader';
}

/** One paired phone, logger or script. */
export interface Device {
  id: string;
  name: string;
  role: 'owner' | 'helper' | 'reader';
  /** cookie (a browser) or token (a logger or script). */
  kind: string;
  paired_at: string;
  last_seen_at: string | null;
  last_push_at: string | null;
  revoked_at: string | null;
  this_device: boolean;
}

/** All devices of the plot. */
export interface Devices {
  devices: Device[];
}

/** A wish for a code that lets one more device in. */
export interface CodeRequest {
  role?: 'owner' | 'helper' | 'reader';
}

/** A one-time code; the part of the address behind # never leaves the phone. */
export interface CodeAnswer {
  code: string;
  url: string;
  expires_at: string;
  /** How long it is good for from now: clocks of phones go wrong. */
  seconds: number;
  /** Where a phone that does not trust this household yet begins; null: nowhere. */
  trust_url: string | null;
}

/** One phone or mail address, and how it does. */
export interface Target {
  id: string;
  /** Name of the device, or the mail address. */
  label: string;
  /** failing: tried again later; dead: nothing arrives; stopped: its reader said so. */
  state: 'ok' | 'failing' | 'dead' | 'stopped';
  /** What is wrong and what mends it. */
  words: string | null;
  made_at: string;
  last_sent_at: string | null;
  failing_since: string | null;
  this_device: boolean;
}

/** Notices on phones. */
export interface PushState {
  /** For applicationServerKey (RFC 8292). */
  public_key: string;
  phones: Target[];
}

/** Mails. */
export interface MailState {
  /** Whether this server knows a mail server. */
  set_up: boolean;
  addresses: Target[];
}

/** The calendar's secret address; the secret itself is shown once, when it is made. */
export interface CalendarState {
  made_at: string;
  last_read_at: string | null;
}

/** Every way out of this plot. */
export interface Channels {
  push: PushState;
  email: MailState;
  calendar: CalendarState | null;
}

/** What a browser's PushSubscription holds: where to send to, and the keys to encrypt with. */
export interface Subscription {
  endpoint: string;
  p256dh: string;
  auth: string;
}

/** One mail address. */
export interface MailAddress {
  address: string;
}

/** Something that was added. */
export interface MadeTarget {
  id: string;
}

/** The calendar's address, shown this once. */
export interface MadeFeed {
  url: string;
}

/** What became of a trial message. */
export interface TrialMessage {
  /** Whether the other side has taken it. */
  arrived: boolean;
  /** What is wrong and what mends it; empty when well. */
  words: string;
}

/** One act of a person on one record. */
export interface PushOp {
  /** Made on the phone; the same in every retry. */
  op_id: string;
  kind: 'put' | 'del' | 'resolve';
  /** The record (UUIDv7 made on the phone). */
  id: string;
  /** Record type; needed to create. */
  type?: RecordType;
  /** Revision that the person saw; 0 for a new one. */
  base_rev: number;
  /** Epoch that base_rev belongs to. */
  base_epoch?: string;
  /** Own earlier operations on the record since base_rev. */
  after?: string[];
  /** Fields that changed, by the schema of the record type. */
  set?: Record<string, unknown>;
  /** resolve: ids of the conflicts that this closes, and no others. */
  conflicts?: string[];
}

/** Up to 500 operations, at most one per record. */
export interface PushEnvelope {
  protocol: 1;
  /** Record schema the app was made for. */
  schema: number;
  plot: string;
  epoch: string;
  /** For the reader only: the token says who sends. */
  device?: string;
  /** The phone's clock; never used to order. */
  sent_at: string;
  ops: PushOp[];
}

/** A value that lost nothing: kept beside the record until a person settles it. */
export interface Conflict {
  /** op_id of the operation that caused it. */
  id: string;
  /** Name of the device it came from. */
  device: string | null;
  why: 'overlap' | 'deleted' | 'delete-vs-edit';
  /** The revision its person had seen. */
  base_rev?: number;
  set: Record<string, unknown>;
}

/** The newest state of a record; a deleted one has no body. */
export interface PulledRecord {
  id: string;
  type?: string;
  rev: number;
  seq: number;
  deleted: boolean;
  body?: Record<string, unknown>;
  conflicts?: Conflict[];
  /** Sent by a device whose clock was far off. */
  clock_suspect?: boolean;
}

/** What became of one operation. */
export interface PushResult {
  op_id: string | null;
  status: 'applied' | 'merged' | 'duplicate' | 'conflict' | 'rejected' | 'reused' | 'retry';
  rev?: number;
  seq?: number;
  record?: PulledRecord;
  problem?: Problem;
}

/** One result per operation, in the order of the operations. */
export interface PushAnswer {
  epoch: string;
  server_now: string;
  results: PushResult[];
}

/** A page of records in the order of `seq`, and where to go on. */
export interface PullAnswer {
  epoch: string;
  schema: number;
  records: PulledRecord[];
  cursor: string;
  more: boolean;
  server_now: string;
}
