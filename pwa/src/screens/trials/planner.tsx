import { useState } from 'preact/hooks';
import {
  Button,
  Card,
  LongTextField,
  Notice,
  PageHeader,
  Segmented,
  SelectField,
  TextField,
} from '../../parts';
import { navigate } from '../../parts/router';
import { useLive } from '../../storage';
import { t } from '../../text';
import { TREATMENT_KINDS } from '../diary/treatment';
import { PickPlaces } from '../forms/pick_places';
import type { PlotFacts } from '../forms/plot_facts';
import { useDraft } from '../forms/use_draft';
import { kept, saveNew } from '../forms/write';
import { LARGEST_SEED } from './draw';
import { FlawList } from './flaw_list';
import { flawsOf } from './flaws';
import { loadPast, TRIAL_TYPES } from './load';
import { unitsOf } from './model';
import {
  choices,
  drawOf,
  emptyPlan,
  type Past,
  type PlanDraft,
  type PlanFault,
  pastOf,
  planFaults,
  powerOf,
  trialSet,
} from './plan';
import { PowerCard } from './power';
import { Sides } from './sides';
import { Weeks } from './weeks';

type Data = Awaited<ReturnType<typeof loadPast>>;

export function Planner({ facts }: { facts: PlotFacts }) {
  const zone = facts.time_zone;
  const data = useLive(() => loadPast(zone, new Date()), [...TRIAL_TYPES], [zone]);
  if (!data) return <div class="page" aria-busy="true" />;
  const past = pastOf(data.rounds, data.counts, data.ground.boards, data.today, zone);
  return <Plan data={data} past={past} />;
}

const newSeed = (): number => crypto.getRandomValues(new Uint32Array(1))[0] ?? LARGEST_SEED;

/** Question, who takes part, when, the draw, and whether it can show anything: all before a drop is poured. */
function Plan({ data, past }: { data: Data; past: Past }) {
  const [seed] = useState(newSeed);
  const draft = useDraft<PlanDraft>('trial_plan', emptyPlan(data.today, seed, past.rounds_a_week));
  const [tried, setTried] = useState(false);
  if (!draft.ready) return <div class="page" aria-busy="true" />;
  const form = draft.value;
  const { places, boards } = data.ground;
  const all = choices(form.by, places, boards);
  const plan = { ...form, unit_ids: form.unit_ids.filter((id) => all.some((one) => one.id === id)) };
  const faults = planFaults(plan);
  const said = (fault: PlanFault) =>
    tried && faults.includes(fault) ? t(`trials.fault_${fault}`) : undefined;
  const draw = drawOf(plan, past);
  const save = async () => {
    if (faults.length > 0) return setTried(true);
    let id = '';
    const done = await kept(async () => {
      id = await saveNew('trial', trialSet(plan, draw) as Record<string, unknown>);
    });
    if (!done) return;
    await draft.clear();
    navigate(`/trials/${id}`, { replace: true });
  };
  const parts: PartProps = { form, said, change: draft.change };
  return (
    <div class="page trial-page">
      <PageHeader title={t('trials.plan')} back="/trials" under={t('trials.plan_under')} />
      <div class="trial-column">
        <What {...parts} />
        <Card title={t('trials.step_who')}>
          <Segmented
            label={t('trials.by')}
            value={form.by}
            choices={[
              { value: 'place', label: t('trials.by_place') },
              { value: 'board', label: t('trials.by_board') },
            ]}
            onChoose={(by) => draft.change({ by, unit_ids: [] })}
          />
          <PickPlaces
            label={t(form.by === 'place' ? 'trials.pick_places' : 'trials.pick_boards')}
            hint={t('trials.pick_hint')}
            error={said('units')}
            places={all}
            chosen={plan.unit_ids}
            onChange={(unit_ids) => draft.change({ unit_ids })}
          />
        </Card>
        <Weeks {...parts} />
      </div>
      <div class="trial-column">
        <Draw {...parts} plan={plan} draw={draw} data={data} />
        <PowerCard power={powerOf(plan, draw, boards, past)} form={form} change={draft.change} />
        {faults.length > 0 && tried && (
          <Notice tone="bad" live>
            {t(`trials.fault_${faults[0] ?? 'name'}`)}
          </Notice>
        )}
        <Button kind="main" wide onClick={() => void save()}>
          {t('trials.save_plan')}
        </Button>
      </div>
    </div>
  );
}

export type PartProps = {
  form: PlanDraft;
  said: (fault: PlanFault) => string | undefined;
  change: (next: Partial<PlanDraft>) => void;
};

function What({ form, said, change }: PartProps) {
  return (
    <Card title={t('trials.step_what')}>
      <SelectField
        label={t('trials.kind')}
        value={form.kind}
        choices={TREATMENT_KINDS.map((value) => ({ value, label: t(`trials.kind_${value}`) }))}
        onChoose={(kind) => change({ kind })}
      />
      <TextField
        label={t('trials.name')}
        maxLength={120}
        error={said('name')}
        value={form.name}
        onText={(name) => change({ name })}
      />
      <LongTextField
        label={t('trials.question')}
        hint={t('trials.question_hint')}
        value={form.question}
        onText={(question) => change({ question })}
      />
    </Card>
  );
}

type DrawProps = PartProps & { plan: PlanDraft; draw: ReturnType<typeof drawOf>; data: Data };

function Draw({ form, said, change, plan, draw, data }: DrawProps) {
  const { places, boards } = data.ground;
  const trial = { id: '', ...trialSet(plan, draw) };
  const units = unitsOf(trial, places, boards);
  return (
    <Card title={t('trials.step_draw')}>
      <Segmented
        label={t('trials.allocation')}
        value={form.allocation}
        choices={[
          { value: 'blocked', label: t('trials.allocation_blocked') },
          { value: 'random', label: t('trials.allocation_random') },
        ]}
        onChoose={(allocation) => change({ allocation })}
      />
      <p class="soft small">{t(`trials.about_${form.allocation}`)}</p>
      <div class="trial-seed">
        <TextField
          label={t('trials.seed')}
          hint={t('trials.seed_hint')}
          inputMode="numeric"
          error={said('seed')}
          maxLength={10}
          value={form.seed}
          onText={(seed) => change({ seed })}
        />
        <Button onClick={() => change({ seed: String(newSeed()) })}>{t('trials.draw_again')}</Button>
      </div>
      {plan.unit_ids.length < 2 ? (
        <p class="soft">{t('trials.fault_units')}</p>
      ) : (
        <>
          <Sides units={units} blocked={form.allocation === 'blocked'} />
          <FlawList
            flaws={flawsOf(trial, units, { places, treatments: [], today: data.today })}
            today={data.today}
          />
        </>
      )}
    </Card>
  );
}
