/** Every place with its stations, in words: what the sketch shows, for reading and for those who see no sketch. */
import { Button, Card, Icon, IconButton, type IconName } from '../../parts';
import { decimals, measure, t } from '../../text';
import { dayWords } from '../forms/local_time';
import type { Marked, Open, PlaceRow, StationRow } from './index';
import { areaOf, isRetired, plotRows, type StationKind } from './model';

type Props = {
  places: readonly PlaceRow[];
  stations: readonly StationRow[];
  today: string;
  /** Left out on a phone that only reads: then the list is words alone. */
  onOpen: ((open: Open) => void) | undefined;
};

export function PlaceList({ places, stations, today, onOpen }: Props) {
  return (
    <>
      {plotRows(places, stations).map(({ place, stations: inside }) => (
        <PlaceCard key={place?.id ?? ''} place={place} stations={inside} today={today} onOpen={onOpen} />
      ))}
    </>
  );
}

type CardProps = {
  place: PlaceRow | undefined;
  stations: readonly StationRow[];
  today: string;
  onOpen: ((open: Open) => void) | undefined;
};

function PlaceCard({ place, stations, today, onOpen }: CardProps) {
  return (
    <Card
      title={place ? place.label : t('plot.homeless')}
      aside={
        place &&
        onOpen && (
          <IconButton
            icon="edit"
            label={t('plot.edit_place', { label: place.label ?? '' })}
            onClick={() => onOpen({ sheet: 'place', place })}
          />
        )
      }
    >
      {place && <p class="soft small">{placeWords(place)}</p>}
      {stations.length > 0 && (
        <ul class="stations">
          {stations.map((station) => (
            <li key={station.id}>
              <StationLine station={station} today={today} onOpen={onOpen} />
            </li>
          ))}
        </ul>
      )}
      {place && !place.archived && onOpen && (
        <Button icon="plus" onClick={() => onOpen({ sheet: 'station', place_id: place.id })}>
          {t('plot.add_station')}
        </Button>
      )}
    </Card>
  );
}

type LineProps = Pick<CardProps, 'today' | 'onOpen'> & { station: StationRow };

function StationLine({ station, today, onOpen }: LineProps) {
  const look = `station ${isRetired(station, today) ? 'station-old' : ''}`;
  const words = (
    <>
      <Icon name={iconOf(station.kind)} />
      <span class="grow">
        <strong>{station.label}</strong> <span class="soft">{stationWords(station, today)}</span>
      </span>
    </>
  );
  if (!onOpen) return <div class={look}>{words}</div>;
  return (
    <button
      type="button"
      class={look}
      onClick={() => onOpen({ sheet: 'station', station, place_id: station.place_id ?? '' })}
    >
      {words}
      <Icon name="next" />
    </button>
  );
}

function iconOf(kind: string | undefined): IconName {
  if (kind === 'slug_board') return 'plank';
  return kind === 'thermometer' || kind === 'grass_minimum' ? 'thermometer' : 'trap';
}

function markWords(record: Marked): string[] {
  return [...(record.disputed ? [t('plot.in_dispute')] : []), ...(record.pending ? [t('plot.pending')] : [])];
}

function placeWords(place: PlaceRow): string {
  const area = areaOf(place);
  const size =
    place.length_m !== undefined && place.width_m !== undefined
      ? t('plot.size', { length: measure(place.length_m), width: measure(place.width_m) })
      : area !== undefined
        ? t('plot.area', { area: decimals(area) })
        : undefined;
  const kind = t(`forms.place_${place.kind as 'bed'}`);
  return [kind, size, place.archived ? t('plot.archived') : undefined, ...markWords(place)]
    .filter(Boolean)
    .join(' · ');
}

function stationWords(station: StationRow, today: string): string {
  const kind = t(`forms.station_${station.kind as StationKind}`);
  const hangs =
    station.kind === 'thermometer' && station.exposure
      ? t(`forms.exposure_${station.exposure as 'soil'}`)
      : undefined;
  const gone = isRetired(station, today)
    ? t('plot.retired', { day: dayWords(station.retired_on ?? today, today) })
    : undefined;
  return [hangs ?? kind, gone, ...markWords(station)].filter(Boolean).join(' · ');
}
