import { Button } from '../../parts';
import { t } from '../../text';
import { PickPlaces } from '../forms/pick_places';
import { between } from './crops';

type Props = {
  label: string;
  hint?: string;
  error?: string | undefined;
  places: readonly { id: string; label: string; kind?: string | undefined }[];
  chosen: readonly string[];
  onChange: (ids: string[]) => void;
};

/** Places as chips; two that are ticked offer all that lie between them: "the same for beds 3 to 7". */
export function PickBeds({ places, chosen, onChange, ...rest }: Props) {
  const more = between(places, chosen);
  return (
    <div class="stack-tight">
      <PickPlaces {...rest} places={places} chosen={chosen} onChange={onChange} />
      {more.length > 0 && (
        <Button icon="plus" onClick={() => onChange([...chosen, ...more.map(({ id }) => id)])}>
          {t('crops.fill_range', { labels: more.map(({ label }) => label).join(', ') })}
        </Button>
      )}
    </div>
  );
}
