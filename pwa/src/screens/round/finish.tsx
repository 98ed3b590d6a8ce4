import { hardestPlaces, type Plank, progressOf, whyNotValid } from '../../domain/round_model';
import type { Running, Usual } from '../../domain/stop_advice';
import {
  Button,
  Caution,
  Notice,
  navigate,
  RangeBar,
  Segmented,
  Sheet,
  TextField,
  Toggle,
} from '../../parts';
import { dropDraft, type View } from '../../storage';
import { decimals, t } from '../../text';
import { withOffset } from '../forms/local_time';
import type { PlotFacts } from '../forms/plot_facts';
import { numberOf } from '../forms/typed_number';
import { useDraft } from '../forms/use_draft';
import { kept, saveChange } from '../forms/write';
import { meanInterval } from './head';
import { type Finish, finishSet } from './model';

interface Props {
  round: View<'round'>;
  facts: PlotFacts;
  planks: readonly Plank[];
  mean: Running | undefined;
  usual: Usual | undefined;
  onClose: () => void;
}

/** The end of a round: what it says, what it is worth, and the few facts that decide that. */
export function FinishSheet({ round, facts, planks, mean, usual, onClose }: Props) {
  const begun = {
    surface: round.body.surface,
    night_low: round.body.night_low ? String(round.body.night_low.value) : '',
    disturbed: round.body.disturbed ?? false,
  };
  const draft = useDraft<Finish>(`round_end:${round.id}`, begun, round);
  const told = draft.value;
  const low = numberOf(told.night_low);
  const wrongLow = told.night_low.trim() !== '' && low === undefined;
  const why = whyNotValid({ disturbed: told.disturbed, ...(told.surface ? { surface: told.surface } : {}) });
  const whyWords = why ? t(`round.not_valid_${why}`) : undefined;
  const unit = facts.unit === 'degF' ? '°F' : '°C';
  const finish = async (): Promise<void> => {
    const now = withOffset(new Date(), facts.time_zone);
    const set = finishSet(told, whyWords, low, facts.unit, now, round.body.finished_at);
    if (!(await kept(() => saveChange('round', round.id, set as Record<string, unknown>, draft.shown))))
      return;
    await kept(() => dropDraft(`round:${round.id}`));
    await kept(() => dropDraft(`round_end:${round.id}`));
    navigate('/', { replace: true });
  };
  return (
    <Sheet title={t('round.end_title')} onClose={onClose}>
      <Outcome planks={planks} mean={mean} usual={usual} />
      <Segmented
        label={t('round.surface')}
        value={told.surface}
        choices={[
          { value: 'dry', label: t('round.dry') },
          { value: 'damp', label: t('round.damp') },
          { value: 'wet', label: t('round.wet') },
        ]}
        onChoose={(surface) => draft.change({ surface })}
      />
      <TextField
        label={t('round.night_low', { unit })}
        value={told.night_low}
        inputMode="text"
        error={wrongLow ? t('round.night_low_wrong') : undefined}
        onText={(night_low) => draft.change({ night_low })}
      />
      <Toggle
        label={t('round.disturbed')}
        hint={t('round.disturbed_hint')}
        on={told.disturbed}
        onChange={(disturbed) => draft.change({ disturbed })}
      />
      {whyWords && <Notice tone="glow">{t('round.kept_out', { why: whyWords })}</Notice>}
      <Button kind="main" wide disabled={wrongLow || !draft.ready} onClick={() => void finish()}>
        {round.body.finished_at ? t('round.save_again') : t('round.save_round')}
      </Button>
      <Button wide onClick={onClose}>
        {t('round.back_to_boards')}
      </Button>
      <Caution>{t('round.caution')}</Caution>
    </Sheet>
  );
}

function Outcome({ planks, mean, usual }: Pick<Props, 'planks' | 'mean' | 'usual'>) {
  const progress = progressOf(planks);
  const hard = hardestPlaces(planks);
  return (
    <div class="stack-tight">
      <p class="end-total">{t('round.end_total', { total: progress.total, n: progress.numbers.length })}</p>
      {mean && (
        <p class="figures">
          {t('round.mean_so_far', { mean: decimals(mean.mean) })} ({meanInterval(mean)},{' '}
          {mean.law === 'poisson' ? t('round.law_poisson') : t('round.law_clumped')})
        </p>
      )}
      {mean && <RangeBar value={mean.mean} low={mean.low} high={mean.high} usual={usual} />}
      {mean && <p>{verdict(mean, usual)}</p>}
      <ul class="stack-tight soft">
        {progress.n_missed > 0 && <li>{t('round.end_missed', { n: progress.n_missed })}</li>}
        {progress.n_unturned > 0 && <li>{t('round.end_unturned', { n: progress.n_unturned })}</li>}
        {progress.n_double > 0 && <li>{t('round.end_double', { n: progress.n_double })}</li>}
        {progress.n_kept > 0 && <li>{t('round.end_kept', { n: progress.n_kept })}</li>}
      </ul>
      {hard.length > 0 && (
        <div>
          <h3>{t('round.hardest')}</h3>
          <ul>
            {hard.map((place) => (
              <li key={place.place}>
                {t('round.hard_line', {
                  place: place.place,
                  mean: decimals(place.mean),
                  n: place.n,
                })}
              </li>
            ))}
          </ul>
        </div>
      )}
    </div>
  );
}

/** Against the usual, in words that claim no more than the interval does. */
function verdict(mean: Running, usual: Usual | undefined): string {
  if (!usual) return t('round.end_no_usual');
  const fill = { usual: decimals(usual.mean) };
  if (mean.low > usual.mean) return t('round.end_above', fill);
  if (mean.high !== null && mean.high < usual.mean) return t('round.end_below', fill);
  return t('round.end_within', fill);
}
