// Contract of the server: every record type with its fields, and the sync envelopes.
// Times are RFC 3339 with offset; quantities are kept as entered, with their unit.

export type Quantity = { value: number; unit: string };
export type PhotoRef = { sha256: string; bytes: number };

export interface Plot {
  name?: string;
  time_zone?: string;
  latitude?: number;
  longitude?: number;
  exact_location?: boolean;
  units?: { temperature?: 'degC' | 'degF' };
  reading_habit?: 'morning' | 'evening';
  grass_out_year?: number;
  invented?: boolean;
  note?: string;
}
export interface Place {
  kind?: 'bed' | 'tunnel' | 'frame' | 'open_ground' | 'path' | 'store';
  label?: string;
  length_m?: number;
  width_m?: number;
  outline?: [number, number][];
  area_m2?: number;
  broken_year?: number;
  neighbours?: ('grass_edge' | 'hedge' | 'heap')[];
  archived?: boolean;
  note?: string;
}
export interface Station {
  kind?: 'slug_board' | 'bait_trap' | 'beetle_trap' | 'thermometer' | 'grass_minimum' | 'rain_gauge';
  place_id?: string;
  label?: string;
  walk_order?: number;
  size_m2?: number;
  core_diameter_m?: number;
  bait?: string;
  material?: string;
  exposure?: 'screen' | 'under_cover' | 'soil';
  depth_m?: number;
  offset?: Quantity;
  set_on?: string;
  retired_on?: string;
  note?: string;
}
export interface Round {
  kind?: 'dawn' | 'trap' | 'readings';
  observed_at?: string;
  started_at?: string;
  finished_at?: string;
  surface?: 'dry' | 'damp' | 'wet';
  night_low?: Quantity;
  valid?: boolean;
  not_valid_reason?: string;
  disturbed?: boolean;
  observer?: string;
  note?: string;
}
export interface SlugCount {
  round_id?: string;
  station_id?: string;
  state?: 'counted' | 'none_found' | 'not_turned' | 'spoiled';
  count?: number;
  small?: number;
  large?: number;
  egg_clusters?: number;
  taxa?: string[];
  removed?: boolean;
  reason?: string;
  observed_at?: string;
  observer?: string;
  note?: string;
  photos?: PhotoRef[];
  stands?: boolean;
  set_aside?: boolean;
}
export interface TrapCatch {
  station_id?: string;
  round_id?: string;
  set_at?: string;
  observed_at?: string;
  state?: 'counted' | 'none_found' | 'not_turned' | 'spoiled';
  wireworms?: number;
  millipedes?: number;
  leatherjackets?: number;
  centipedes?: number;
  rebaited?: boolean;
  soil?: Quantity;
  reason?: string;
  observer?: string;
  note?: string;
  photos?: PhotoRef[];
}
export interface SoilSample {
  place_id?: string;
  cores?: number;
  core_diameter_m?: number;
  depth_m?: number;
  found?: number;
  method?: 'hand_sort' | 'wash';
  observed_at?: string;
  observer?: string;
  note?: string;
}
export interface Temperature {
  station_id?: string;
  observed_at?: string;
  current?: Quantity;
  max?: Quantity;
  min?: Quantity;
  reset_done?: boolean;
  observer?: string;
  note?: string;
}
export interface Evening {
  place_id?: string;
  observed_at?: string;
  air?: Quantity;
  wet?: Quantity;
  dew?: Quantity;
  humidity_percent?: number;
  sky?: 'clear' | 'broken' | 'overcast';
  wind?: 'calm' | 'light' | 'windy';
  observer?: string;
  note?: string;
}
export interface Damage {
  crop_id?: string;
  place_id?: string;
  observed_at?: string;
  examined?: number;
  damaged?: number;
  cause?: string;
  observer?: string;
  note?: string;
}
export interface Crop {
  place_id?: string;
  kind?: string;
  variety?: string;
  seed_batch?: string;
  started_on?: string;
  note?: string;
}
export interface CropEvent {
  crop_id?: string;
  place_id?: string;
  what?:
    | 'chitted'
    | 'sown'
    | 'potted'
    | 'hardened'
    | 'planted'
    | 'covered'
    | 'earthed_up'
    | 'harvested'
    | 'stage';
  observed_at?: string;
  kg?: number;
  count?: number;
  stage?: string;
  observer?: string;
  note?: string;
}
export interface Treatment {
  kind?:
    | 'nematodes'
    | 'brew'
    | 'mulch'
    | 'cultivation'
    | 'cover'
    | 'hand_collection'
    | 'pellets'
    | 'watering'
    | 'other';
  place_ids?: string[];
  control_place_ids?: string[];
  area_m2?: number;
  product?: string;
  authorisation_number?: string;
  harvest_interval_days?: number;
  culture_id?: string;
  amount?: Quantity;
  water_l?: number;
  soil?: Quantity;
  moisture?: 'dry' | 'damp' | 'wet';
  observed_at?: string;
  observer?: string;
  note?: string;
}
export interface Culture {
  started_on?: string;
  source?: string;
  vessel?: string;
  note?: string;
}
export interface Trial {
  question?: string;
  treated_place_ids?: string[];
  untreated_place_ids?: string[];
  note?: string;
}
export interface Photo {
  sha256?: string;
  parent_id?: string;
  caption?: string;
  taken_at?: string;
  bytes?: number;
  observed_at?: string;
}
export interface Watch {
  rule?: string;
  on?: boolean;
  note?: string;
}
export interface Warning {
  rule?: string;
  text?: string;
  observed_at?: string;
}
export interface WarningReply {
  warning_id?: string;
  what?: string;
  observed_at?: string;
  observer?: string;
  note?: string;
}
export interface Member {
  name?: string;
  role?: 'owner' | 'helper' | 'reader';
  note?: string;
}
export interface Note {
  observed_at?: string;
  text?: string;
  place_id?: string;
  observer?: string;
  photos?: PhotoRef[];
}

export interface RecordOf {
  plot: Plot;
  place: Place;
  station: Station;
  round: Round;
  slug_count: SlugCount;
  trap_catch: TrapCatch;
  soil_sample: SoilSample;
  temperature: Temperature;
  evening: Evening;
  damage: Damage;
  crop: Crop;
  crop_event: CropEvent;
  treatment: Treatment;
  culture: Culture;
  trial: Trial;
  photo: Photo;
  watch: Watch;
  warning: Warning;
  warning_reply: WarningReply;
  member: Member;
  note: Note;
}
export type RecordType = keyof RecordOf;
