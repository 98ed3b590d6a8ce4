import { Card, Notice, Segmented } from '../../parts';
import { decimals, t } from '../../text';
import { PERCENTS, type PlanDraft, type Power } from './plan';

const percent = (p: number): string => String(Math.round(100 * p));
const TONE = { good: 'good', fair: 'plain', poor: 'glow' } as const;

/** Can it show anything? Said before the season, with what would make it better. */
export function PowerCard({
  power,
  form,
  change,
}: {
  power: Power | undefined;
  form: PlanDraft;
  change: (next: Partial<PlanDraft>) => void;
}) {
  return (
    <Card title={t('trials.step_power')}>
      <Segmented
        label={t('trials.percent_fewer')}
        value={String(form.percent_fewer)}
        choices={PERCENTS.map((value) => ({ value: String(value), label: `${value} %` }))}
        onChoose={(value) => change({ percent_fewer: Number(value) })}
      />
      {power ? <Said power={power} form={form} /> : <p class="soft">{t('trials.power_none')}</p>}
    </Card>
  );
}

function Said({ power, form }: { power: Power; form: PlanDraft }) {
  const { answer } = power;
  const fewer = form.percent_fewer;
  const [least, most] = [answer.n_boards_needed, answer.n_boards_needed_boards_keep];
  return (
    <>
      <Notice tone={TONE[power.verdict]} live>
        <strong>
          {t('trials.power_said', { fewer, low: percent(power.low), high: percent(power.high) })}
        </strong>{' '}
        {t(`trials.power_${power.verdict}`)}
      </Notice>
      <p>
        {least !== null && most !== null
          ? t('trials.power_needed', { least: Math.min(least, most), most: Math.max(least, most) })
          : t('trials.power_never')}
      </p>
      <p class="soft small">
        {t('trials.power_from', {
          n: power.n_boards,
          rounds: power.n_rounds,
          mean: decimals(power.mean),
          k: power.k > 1000 ? t('trials.no_clumping') : decimals(power.k, 1),
        })}{' '}
        {t(power.own ? 'trials.power_own' : 'trials.power_public')} {t('trials.power_range')}{' '}
        {form.by === 'place' && t('trials.power_beds')}
      </p>
    </>
  );
}
