import { useState } from 'preact/hooks';
import { ButtonLink, EmptyState, PageHeader, Segmented, SelectField } from '../../parts';
import { t } from '../../text';
import type { PlotFacts } from '../forms/plot_facts';
import { useDraft } from '../forms/use_draft';
import type { PhotoData } from './load';
import { daysApart, inPlace, type Shot, widestPair } from './model';
import { useWhole } from './picture';
import { altWords, dayOf, momentWords } from './words';

type Props = { data: PhotoData; facts: PlotFacts; placeId: string };

const MODES = ['slider', 'beside'] as const;
type Mode = (typeof MODES)[number];

/** Two photos of one place, then and now. */
export function Compare({ data, facts, placeId }: Props) {
  const place = data.places.find(({ id }) => id === placeId);
  const shots = inPlace(data.shots, placeId).filter(({ at }) => at);
  const widest = widestPair(shots);
  const [keys, setKeys] = useState<{ before?: string; after?: string }>({});
  const look = useDraft<{ mode: Mode }>('photos_compare', { mode: 'slider' });
  const named = (key: string | undefined) => shots.find((shot) => shot.key === key);
  const before = named(keys.before) ?? widest?.before;
  const after = named(keys.after) ?? widest?.after;
  if (!look.ready) return null;
  const zone = facts.time_zone;
  const choices = shots.map((shot) => ({
    value: shot.key,
    label: [momentWords(shot, zone), shot.caption].filter(Boolean).join(' · '),
  }));
  return (
    <div class="page page-wide">
      <PageHeader
        title={t('photos.compare_place', { place: place?.label ?? '' })}
        back={`/photos/of/${placeId}`}
      />
      {before && after ? (
        <>
          <div class="photo-picks">
            <SelectField
              label={t('photos.compare_before')}
              value={before.key}
              choices={choices}
              onChoose={(key) => setKeys({ ...keys, before: key })}
            />
            <SelectField
              label={t('photos.compare_after')}
              value={after.key}
              choices={choices}
              onChoose={(key) => setKeys({ ...keys, after: key })}
            />
          </div>
          <p class="photo-between" role="status">
            {betweenWords(before, after, zone)}
          </p>
          <Segmented
            label={t('photos.compare_mode')}
            hideLabel
            value={look.value.mode}
            choices={MODES.map((value) => ({ value, label: t(`photos.compare_${value}`) }))}
            onChoose={(mode) => look.change({ mode })}
          />
          <Pictures
            key={`${before.key}|${after.key}`}
            mode={look.value.mode}
            {...{ before, after, data, zone }}
          />
        </>
      ) : (
        <EmptyState
          title={t('photos.compare_none_title')}
          action={<ButtonLink to={`/photos/of/${placeId}`}>{t('photos.title')}</ButtonLink>}
        >
          {t('photos.compare_none_text')}
        </EmptyState>
      )}
    </div>
  );
}

function betweenWords(before: Shot, after: Shot, zone: string): string {
  const n = daysApart(before, after, zone);
  if (n === 0) return t('photos.compare_same_day', { day: dayOf(before, zone) });
  return t('photos.compare_days', { n, before: dayOf(before, zone), after: dayOf(after, zone) });
}

type PicturesProps = { mode: Mode; before: Shot; after: Shot; data: PhotoData; zone: string };

function Pictures({ mode, before, after, data, zone }: PicturesProps) {
  const [cut, setCut] = useState(50);
  const [shape, setShape] = useState('4 / 3');
  const [first, second] = [useWhole(before.sha256), useWhole(after.sha256)];
  const away = [first, second].some(({ state }) => state === 'away' || state === 'not_there');
  const alt = (shot: Shot) => altWords(shot, data, zone);
  const side = (shot: Shot, address: string | undefined, name: 'before' | 'after') => (
    <figure class={`photo-side photo-side-${name}`}>
      {address ? (
        <img
          src={address}
          alt={alt(shot)}
          draggable={false}
          onLoad={({ currentTarget: { naturalWidth, naturalHeight } }) =>
            name === 'after' && setShape(`${naturalWidth} / ${naturalHeight}`)
          }
        />
      ) : (
        <span class="photo-blank" />
      )}
      <figcaption class="small">
        <strong>{t(`photos.compare_${name}`)}</strong> {dayOf(shot, zone)}
      </figcaption>
    </figure>
  );
  const words = { percent: cut };
  return (
    <>
      {mode === 'beside' ? (
        <div class="photo-beside" style={{ '--shape': shape }}>
          {side(before, first.address, 'before')}
          {side(after, second.address, 'after')}
        </div>
      ) : (
        <div
          class="photo-slider"
          style={{ '--cut': `${cut}%`, '--shape': shape }}
          onPointerMove={(event) => dragged(event, setCut)}
          onPointerDown={(event) => dragged(event, setCut)}
        >
          {side(after, second.address, 'after')}
          {side(before, first.address, 'before')}
          <span class="photo-cut" aria-hidden="true" />
        </div>
      )}
      {mode === 'slider' && (
        <label class="photo-range">
          <span>{t('photos.compare_cut')}</span>
          <input
            type="range"
            min={0}
            max={100}
            step={5}
            value={cut}
            aria-valuetext={t('photos.compare_cut_now', words)}
            onInput={(event) => setCut(Number(event.currentTarget.value))}
          />
          <span class="soft small">{t('photos.compare_swap_hint')}</span>
        </label>
      )}
      {away && <p class="soft">{t('photos.viewer_away')}</p>}
    </>
  );
}

/** The finger (or the pressed mouse) says where one photo ends and the other begins. */
function dragged(event: PointerEvent, show: (cut: number) => void): void {
  if (event.pointerType === 'mouse' && event.buttons === 0) return;
  const box = (event.currentTarget as HTMLElement).getBoundingClientRect();
  show(Math.round(Math.min(1, Math.max(0, (event.clientX - box.left) / box.width)) * 100));
}
