import { Button } from '../../parts';
import { type TextKey, t } from '../../text';
import { PickPlaces } from '../forms/pick_places';
import { between, type Pickable, quickChoices, withAll } from './bulk';

type Props = {
  label: string;
  hint?: string;
  error?: string | undefined;
  places: readonly Pickable[];
  chosen: readonly string[];
  /** Taken as ticked for "and those between": what the form is about already. */
  anchor?: Pickable | undefined;
  /** What a press that ticks a whole kind says; kinds of places when left out. */
  kindWords?: (kind: string) => string;
  onChange: (ids: string[]) => void;
};

/** Chips; two that are ticked offer all that lie between them, and one press ticks a whole kind or all. */
export function PickBeds({ places, chosen, anchor, kindWords = placeKind, onChange, ...rest }: Props) {
  const all = anchor ? [anchor, ...places].sort(byWords) : places;
  const more = between(all, anchor ? [...chosen, anchor.id] : chosen);
  const quick = quickChoices(places).filter(({ ids }) => ids.some((id) => !chosen.includes(id)));
  return (
    <div class="stack-tight">
      <PickPlaces {...rest} places={places} chosen={chosen} onChange={onChange} />
      {more.length > 0 && (
        <Button
          icon="plus"
          onClick={() =>
            onChange(
              withAll(
                places,
                chosen,
                more.map(({ id }) => id),
              ),
            )
          }
        >
          {t('crops.fill_range', { labels: more.map(({ label }) => label).join(', ') })}
        </Button>
      )}
      {places.length > 2 && (
        <div class="pick-quick">
          {quick.map(({ kind, ids }) => (
            <Button key={kind ?? ''} kind="quiet" onClick={() => onChange(withAll(places, chosen, ids))}>
              {kind === undefined ? t('bulk.all', { n: ids.length }) : kindWords(kind)}
            </Button>
          ))}
          {chosen.length > 1 && (
            <Button kind="quiet" onClick={() => onChange([])}>
              {t('bulk.none')}
            </Button>
          )}
        </div>
      )}
    </div>
  );
}

const placeKind = (kind: string): string => t(`bulk.all_${kind}` as TextKey);

function byWords(a: Pickable, b: Pickable): number {
  return a.label.localeCompare(b.label, undefined, { numeric: true });
}
