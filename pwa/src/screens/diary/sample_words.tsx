/** What a sample says of the whole, with its interval, while it is typed. */
import { Notice } from '../../parts';
import { decimals, intervalWords, t } from '../../text';
import { densityOf, isFound, type Share, type SoilDensity, type SoilDraft, soilSet } from './samples';

const percentWords = (percent: number): string => decimals(percent, percent < 10 ? 1 : 0);

export function ShareWords({ share }: { share: Share }) {
  const places = share.high < 10 ? 1 : 0;
  return (
    <Notice live>
      <p class="diary-figure figures">{t('samples.share', { percent: percentWords(share.percent) })}</p>
      <p>
        {share.up_to === undefined
          ? t('samples.share_range', { range: intervalWords(share.low, share.high, places) })
          : t('samples.share_none', { percent: percentWords(share.up_to) })}
      </p>
    </Notice>
  );
}

/** What the cores say of the ground, as soon as they say something: in full for one place, a line for each of several. */
export function FoundWords({
  form,
  places,
}: {
  form: SoilDraft;
  places: readonly { id: string; label: string }[];
}) {
  const told = places.flatMap(({ id, label }) => {
    const density = isFound(form, id)
      ? densityOf(soilSet(form, { observed_at: '', observer: '' }, id))
      : undefined;
    return density ? [{ label, density }] : [];
  });
  if (places.length === 1) return told[0] ? <DensityWords density={told[0].density} /> : null;
  if (told.length === 0) return null;
  return (
    <Notice live>
      <ul class="harvest-waits">
        {told.map(({ label, density }) => (
          <li key={label}>{densityLine(label, density)}</li>
        ))}
      </ul>
    </Notice>
  );
}

function densityLine(place: string, density: SoilDensity): string {
  if (density.found === 0) return t('bulk.density_line_none', { place, per_m2: decimals(density.up_to, 0) });
  const range = intervalWords(density.low, density.high, 0);
  return t('bulk.density_line', { place, per_m2: decimals(density.per_m2, 0), range });
}

function DensityWords({ density }: { density: SoilDensity }) {
  const fill = { found: density.found, area: decimals(density.area_m2, density.area_m2 < 0.1 ? 3 : 2) };
  return (
    <Notice live>
      <p class="diary-figure figures">{t('samples.per_m2', { per_m2: decimals(density.per_m2, 0) })}</p>
      <p>
        {density.found === 0
          ? t('samples.density_none', { ...fill, per_m2: decimals(density.up_to, 0) })
          : t('samples.density_range', {
              ...fill,
              range: intervalWords(density.low, density.high, 0),
              per_ha: decimals(density.per_ha, 0),
            })}
      </p>
      <p class="soft small">{t('samples.recovery', { percent: decimals(density.recovery * 100, 0) })}</p>
    </Notice>
  );
}
