import { useState } from 'preact/hooks';
import { Button, Card, Caution, EmptyState, Segmented, Sheet, TextField } from '../../parts';
import { newId, saveMany } from '../../storage';
import { decimals, inOurWords, intervalWords, t } from '../../text';
import { daysBetween, dayWords, localDay, momentAt, withOffset } from '../forms/local_time';
import type { PlotFacts } from '../forms/plot_facts';
import { useDraft } from '../forms/use_draft';
import { asItem, kept, saveChange } from '../forms/write';
import { clockOf } from './crop_sheet';
import {
  type CultureDraft,
  cultureFaults,
  cultureSet,
  emptyCulture,
  SOURCES,
  type Strength,
  sortedCultures,
  strengthOf,
} from './cultures';
import { CountSheet, DoseSheet } from './dose_sheet';
import type { DiaryData } from './load';
import type { DiaryView } from './model';
import { cautionsFor } from './treatment';
import { TreatmentSheet } from './treatment_sheet';
import { choiceWords } from './words';

type Props = {
  facts: PlotFacts;
  data: DiaryData;
  canWrite: boolean;
  onEdit: (view: DiaryView) => void;
};
type Act = 'count' | 'dose' | 'apply';
type Open = { act: 'start' } | { act: Act; view: DiaryView };

export function CulturesView(props: Props) {
  const { facts, data, canWrite } = props;
  const [open, setOpen] = useState<Open | undefined>(undefined);
  const all = sortedCultures(data.cultures);
  const kept = all.filter((view) => !view.body.discarded_at);
  const gone = all.filter((view) => view.body.discarded_at);
  const close = () => setOpen(undefined);
  const card = (view: DiaryView) => (
    <CultureCard key={view.id} {...props} view={view} onAct={(act) => setOpen({ act, view })} />
  );
  return (
    <>
      {canWrite && (
        <Button kind="main" icon="plus" onClick={() => setOpen({ act: 'start' })}>
          {t('cultures.start')}
        </Button>
      )}
      {all.length === 0 && (
        <EmptyState title={t('cultures.empty_title')}>{t('cultures.empty_text')}</EmptyState>
      )}
      {kept.map(card)}
      {gone.length > 0 && (
        <details class="diary-filter">
          <summary>{t('cultures.gone', { n: gone.length })}</summary>
          <div class="stack">{gone.map(card)}</div>
        </details>
      )}
      {open?.act === 'start' && <CultureSheet facts={facts} onClose={close} />}
      {open?.act === 'count' && <CountSheet facts={facts} view={open.view} onClose={close} />}
      {open?.act === 'dose' && (
        <DoseSheet
          facts={facts}
          data={data}
          view={open.view}
          onApply={() => setOpen({ act: 'apply', view: open.view })}
          onClose={close}
        />
      )}
      {open?.act === 'apply' && (
        <TreatmentSheet facts={facts} data={data} draftKey={`treatment:${open.view.id}`} onClose={close} />
      )}
    </>
  );
}

function CultureCard(props: Props & { view: DiaryView; onAct: (act: Act) => void }) {
  const { view, facts, canWrite, onEdit, onAct } = props;
  const { body } = view;
  const day = (at: unknown) => localDay(String(at), facts.time_zone);
  const today = localDay(new Date(), facts.time_zone);
  const strength = strengthOf(body);
  const lines = [
    choiceWords(body.source),
    body.vessel ? String(body.vessel) : '',
    body.used_at ? t('cultures.used', { day: dayWords(day(body.used_at), today) }) : '',
    body.discarded_at ? t('cultures.discarded', { day: dayWords(day(body.discarded_at), today) }) : '',
  ];
  const discard = () =>
    kept(() => saveChange('culture', view.id, { discarded_at: withOffset(new Date(), facts.time_zone) }));
  return (
    <Card
      title={String(body.label ?? t('diary.type_culture'))}
      aside={
        <span class="soft small figures">
          {t('cultures.age', { n: daysBetween(day(body.started_at), today) })}
        </span>
      }
    >
      <p class="soft small">{lines.filter(Boolean).join(' · ')}</p>
      {strength ? <StrengthWords strength={strength} /> : <p>{t('cultures.uncounted')}</p>}
      {body.source !== 'bought_labelled' && <Caution>{t('treatment.caution_brew_unproven')}</Caution>}
      <div class="row">
        {canWrite && !body.discarded_at && (
          <>
            <Button onClick={() => onAct('count')}>{t('cultures.count')}</Button>
            {strength && (
              <Button kind="main" onClick={() => onAct('dose')}>
                {t('cultures.dose')}
              </Button>
            )}
            <Button kind="quiet" onClick={() => void discard()}>
              {t('cultures.discard')}
            </Button>
          </>
        )}
        <Button kind="quiet" onClick={() => onEdit(view)}>
          {t('cultures.edit')}
        </Button>
      </div>
    </Card>
  );
}

/** The strength with its interval, and what is wrong with the count. */
export function StrengthWords({ strength }: { strength: Strength }) {
  const places = strength.per_ml < 10 ? 1 : 0;
  return (
    <div class="stack-tight" role="status">
      <p class="diary-figure figures">
        {t('cultures.strength', { per_ml: decimals(strength.per_ml, places) })}
      </p>
      <p>
        {t('cultures.strength_range', {
          range: intervalWords(strength.low, strength.high, places),
          total: strength.total,
          n: strength.drops,
        })}
      </p>
      {strength.cautions.map((words) => (
        <p key={words} class="soft small">
          {inOurWords(words)}
        </p>
      ))}
    </div>
  );
}

function CultureSheet({ facts, onClose }: { facts: PlotFacts; onClose: () => void }) {
  const today = localDay(new Date(), facts.time_zone);
  const draft = useDraft<CultureDraft>('culture', emptyCulture(today));
  const [tried, setTried] = useState(false);
  const form = draft.value;
  const faults = cultureFaults(form, today);
  const said = (fault: 'label' | 'day') =>
    tried && faults.includes(fault) ? t(`cultures.fault_${fault}`) : undefined;
  const save = async () => {
    if (faults.length > 0) return setTried(true);
    const started_at = momentAt(form.day, clockOf(form.day, facts), facts.time_zone);
    const set = cultureSet(form, { started_at, observer: facts.observer });
    if (!(await kept(() => saveMany([asItem('culture', newId(), set)])))) return;
    await draft.clear();
    onClose();
  };
  if (!draft.ready) return null;
  return (
    <Sheet title={t('cultures.start_title')} onClose={onClose}>
      <TextField
        label={t('cultures.label')}
        hint={t('cultures.label_hint')}
        maxLength={80}
        error={said('label')}
        value={form.label}
        onText={(label) => draft.change({ label })}
      />
      <Segmented
        label={t('cultures.source')}
        value={form.source}
        choices={SOURCES.map((value) => ({ value, label: choiceWords(value) }))}
        onChoose={(source) => draft.change({ source })}
      />
      <div class="stack-tight treatment-cautions">
        {cautionsFor(form.source === 'unidentified' ? 'brew' : 'nematodes').map((caution) => (
          <Caution key={caution}>{t(`treatment.caution_${caution}`)}</Caution>
        ))}
      </div>
      <TextField
        label={t('cultures.vessel')}
        maxLength={200}
        value={form.vessel}
        onText={(vessel) => draft.change({ vessel })}
      />
      <TextField
        label={t('cultures.started')}
        type="date"
        error={said('day')}
        value={form.day}
        onText={(day) => day && draft.change({ day })}
      />
      <TextField
        label={t('forms.note')}
        maxLength={4000}
        value={form.note}
        onText={(note) => draft.change({ note })}
      />
      <Button kind="main" wide onClick={() => void save()}>
        {t('cultures.save')}
      </Button>
    </Sheet>
  );
}
