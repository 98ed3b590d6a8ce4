import { Button, Notice, SelectField, TextField } from '../../parts';
import { decimals, measure, t } from '../../text';
import type { DiaryData } from './load';
import { AMOUNT_UNITS, areaKnown, areaText, isDrench, rateOf, WEAKEST_DOSE } from './treatment';
import type { PartProps } from './treatment_sheet';

/** How much went on how large an area, and how much that is a square metre, which is what a label says. */
export function Amounts({ form, places, said, change }: PartProps & { places: DiaryData['places'] }) {
  const known = areaKnown(form.place_ids, places);
  return (
    <>
      <TextField
        label={t('treatment.area')}
        inputMode="decimal"
        error={said('area')}
        value={form.area}
        onText={(area) => change({ area })}
      />
      {known !== undefined && form.area === '' && (
        <div class="row-apart">
          <p class="soft small">{t('treatment.area_known', { area: decimals(known) })}</p>
          <Button kind="quiet" onClick={() => change({ area: areaText(form.place_ids, places) })}>
            {t('treatment.area_take')}
          </Button>
        </div>
      )}
      <div class="amount-row">
        <TextField
          label={t('treatment.amount')}
          inputMode="decimal"
          error={said('amount')}
          value={form.amount}
          onText={(amount) => change({ amount })}
        />
        <SelectField
          label={t('treatment.unit')}
          value={form.amount_unit}
          choices={AMOUNT_UNITS.map((unit) => ({
            value: unit as string,
            label: unit === 'million' ? t('treatment.unit_million') : unit,
          }))}
          onChoose={(amount_unit) => change({ amount_unit })}
        />
        <TextField
          label={t('treatment.water')}
          inputMode="decimal"
          error={said('water')}
          value={form.water}
          onText={(water) => change({ water })}
        />
      </div>
      <Rate form={form} />
    </>
  );
}

/** A thousandth of a unit, in which a label says what goes on a square metre. */
const SMALLER: Readonly<Record<string, string>> = { kg: 'g', l: 'ml' };

function Rate({ form }: Pick<PartProps, 'form'>) {
  const rate = rateOf(form);
  if (rate === undefined) return null;
  if (!isDrench(form.kind) || form.amount_unit !== 'million') {
    const small = SMALLER[form.amount_unit];
    const [n, unit] = small && rate < 1 ? [rate * 1_000, small] : [rate, form.amount_unit];
    return <p class="soft small">{t('treatment.rate', { rate: measure(n), unit })}</p>;
  }
  const animals = rate * 1e6;
  return (
    <Notice tone={animals < WEAKEST_DOSE ? 'glow' : 'plain'} live>
      <strong>{t('treatment.rate_animals', { rate: decimals(Number(animals.toPrecision(3)), 0) })}</strong>{' '}
      {animals < WEAKEST_DOSE && t('treatment.rate_weak')}
      <p class="small">{t('treatment.rate_source')}</p>
    </Notice>
  );
}
