import { useMemo } from 'preact/hooks';
import { ButtonLink, Card } from '../../parts';
import { Framed } from '../../parts/chart';
import { list, useLive } from '../../storage';
import { t } from '../../text';
import { known } from '../forms/known';
import { dayPlus, localDay } from '../forms/local_time';
import { type ComingUp, type CropStep, comingUp, type SownCrop, soilGlass } from './coming_up';
import { comingUpNumbers, comingUpPicture, nameOf, shortDay } from './coming_up_picture';
import type { FindingsGround } from './load';
import { warmOf, type YearDigest } from './years';

/** Sowings that still say something: this year's and last winter's chitting. */
const BACK_DAYS = 365;

async function load(timeZone: string, today: string) {
  const [crops, events] = await Promise.all([list('crop'), list('crop_event')]);
  const from = dayPlus(today, -BACK_DAYS);
  const sown = crops
    .map((view) => ({ ...known(view.body), id: view.id, kind: view.body.kind ?? '' }) as SownCrop)
    .filter((crop) => (crop.started_on ?? '') >= from);
  const ids = new Set(sown.map((crop) => crop.id));
  const steps = events.flatMap((view): CropStep[] => {
    const { crop_id, what, observed_at, stage, place_id } = known(view.body);
    if (!crop_id || !what || !observed_at || !ids.has(crop_id)) return [];
    const day = localDay(observed_at, timeZone);
    return [{ crop_id, what, day, ...(stage ? { stage } : {}), ...(place_id ? { place_id } : {}) }];
  });
  return { sown, steps };
}

type Props = {
  ground: FindingsGround;
  digests: readonly YearDigest[];
  /** Years still to be read: their soil temperatures are not known yet. */
  left: number;
  timeZone: string;
  today: string;
  source: string;
};

/** Chitted, sown, forecast and come up, on one row each. */
export function ComingUpCard({ ground, digests, left, timeZone, today, source }: Props) {
  const data = useLive(() => load(timeZone, today), ['crop', 'crop_event'], [timeZone, today]);
  const rows = useMemo(() => {
    if (!data) return [];
    const soilOf = (place: string | undefined) => {
      const glass = soilGlass(ground.glasses, place);
      return glass && warmOf(digests, glass.id);
    };
    return comingUp(data.sown, data.steps, soilOf, today);
  }, [data, digests, ground, today]);
  const picture = useMemo(() => comingUpPicture(rows, ground.label, today), [rows, ground, today]);
  const numbers = useMemo(() => comingUpNumbers(rows, ground.label), [rows, ground]);
  return (
    <Card title={t('findings.coming_up')} icon="sun">
      {!data || rows.length === 0 ? (
        <p>{t('findings.coming_up_none')}</p>
      ) : (
        <Framed
          picture={picture}
          numbers={numbers}
          sentence={sentenceOf(rows, ground.label, today)}
          source={source}
        >
          {left > 0 && <p class="soft small">{t('findings.years_left', { n: left })}</p>}
          <p class="soft small">{t('findings.coming_up_how')}</p>
        </Framed>
      )}
      <ButtonLink wide to="/diary">
        {t('findings.to_diary')}
      </ButtonLink>
    </Card>
  );
}

/** A sowing longer overdue than this is known to its sower. Our choice, no source. */
const LATE_DAYS = 45;

/** First what is overdue, then what comes next, then how the forecasts have done. */
function sentenceOf(rows: readonly ComingUp[], label: ReadonlyMap<string, string>, today: string): string {
  const waiting = rows.filter((row) => row.forecast && !row.came_up_on && !row.up_by);
  const late = waiting.filter((row) => {
    const to = row.forecast?.to ?? '';
    return to < today && to >= dayPlus(today, -LATE_DAYS);
  });
  const judged = rows.filter((row) => row.forecast && row.came_up_on);
  const right = judged.filter(
    ({ forecast, came_up_on = '' }) => forecast && came_up_on >= forecast.from && came_up_on <= forecast.to,
  );
  const score =
    judged.length > 0 ? [t('findings.forecasts_were', { n: judged.length, right: right.length })] : [];
  const [first] = late;
  if (first?.forecast) {
    const facts = { crop: nameOf(first, label), day: shortDay(first.forecast.to), n: late.length };
    return [t('findings.coming_late', facts), ...score].join(' ');
  }
  const next = waiting
    .filter((row) => (row.forecast?.to ?? '') >= today)
    .sort((a, b) => ((a.forecast?.from ?? '') < (b.forecast?.from ?? '') ? -1 : 1))[0];
  if (next?.forecast) {
    const facts = { from: shortDay(next.forecast.from), to: shortDay(next.forecast.to) };
    return [t('findings.coming_next', { crop: nameOf(next, label), ...facts }), ...score].join(' ');
  }
  const up = rows.filter((row) => row.came_up_on ?? row.up_by).length;
  return [t('findings.coming_counts', { n: rows.length, up }), ...score].join(' ');
}
