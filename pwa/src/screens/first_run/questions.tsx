import { useState } from 'preact/hooks';
import { Button, navigate } from '../../parts';
import { list, newId, saveMany, setMeta } from '../../storage';
import { syncNow } from '../../sync';
import { t } from '../../text';
import { localDay } from '../forms/local_time';
import { phoneZone } from '../forms/plot_facts';
import { useDraft } from '../forms/use_draft';
import { asItem, kept } from '../forms/write';
import { BoardsStep } from './boards_step';
import type { Standing } from './index';
import { emptyDraft, type FirstRunDraft, faultsOf, recordsOf, STEPS } from './model';
import { PlacesStep } from './places_step';
import { Step } from './step';
import { ThermometersStep } from './thermometers_step';
import { WhereStep } from './where_step';
import { WhoStep } from './who_step';

const SHOWN = {
  who: WhoStep,
  where: WhereStep,
  places: PlacesStep,
  boards: BoardsStep,
  thermometers: ThermometersStep,
} as const;

/** The questions one at a time; every answer is kept as it is typed. `only_who`: the plot is there, the person is new. */
export function Questions({ standing, only_who }: { standing: Standing; only_who?: boolean }) {
  const draft = useDraft<FirstRunDraft>('first_run', emptyDraft(phoneZone(), navigator.language));
  const [tried, setTried] = useState(false);
  const [busy, setBusy] = useState(false);
  if (!draft.ready) return <div class="page page-bare" aria-busy="true" />;
  const step = only_who ? 'who' : draft.value.step;
  const at = STEPS.indexOf(step);
  const last = only_who || at === STEPS.length - 1;
  const faults = tried ? faultsOf(draft.value, step) : [];
  const Shown = SHOWN[step];
  const turn = (by: 1 | -1) => {
    setTried(false);
    draft.change({ step: STEPS[at + by] ?? step });
    scrollTo(0, 0);
  };
  const onward = async () => {
    if (faultsOf(draft.value, step).length > 0) return setTried(true);
    if (!last) return turn(1);
    setBusy(true);
    const plotId = standing.paired?.plot_id ?? '';
    if (await kept(() => finish(draft.value, plotId, only_who === true, standing))) {
      await draft.clear();
      void syncNow();
      navigate('/', { replace: true });
    } else setBusy(false);
  };
  return (
    <form
      class="page page-bare first-run"
      onSubmit={(event) => {
        event.preventDefault();
        void onward();
      }}
    >
      <Step
        key={step}
        title={t(`first_run.${step}_title`)}
        {...(only_who ? {} : { n: at + 1, of: STEPS.length })}
      />
      {!only_who && <Progress at={at} />}
      <Shown draft={draft.value} change={draft.change} faults={faults} />
      <div class="first-run-foot">
        {at > 0 && (
          <Button kind="quiet" onClick={() => turn(-1)}>
            {t('first_run.back')}
          </Button>
        )}
        <Button kind="main" class="grow" type="submit" disabled={busy}>
          {busy ? t('first_run.finishing') : last && !only_who ? t('first_run.finish') : t('first_run.next')}
        </Button>
      </div>
    </form>
  );
}

function Progress({ at }: { at: number }) {
  return (
    <ol class="progress" aria-hidden="true">
      {STEPS.map((step, i) => (
        <li key={step} class={i <= at ? 'progress-done' : ''} />
      ))}
    </ol>
  );
}

/** The name first, then all records in one act: a crash in between finds the answers still in the draft. */
async function finish(
  draft: FirstRunDraft,
  plotId: string,
  onlyWho: boolean,
  standing: Standing,
): Promise<void> {
  const observer = draft.observer.trim();
  const members = await list('member');
  const known = members.some((member) => (member.body.name ?? '').toLowerCase() === observer.toLowerCase());
  const role = (standing.paired as { role?: string } | undefined)?.role ?? 'helper';
  const member = known ? [] : [asItem('member', newId(), { name: observer, role })];
  const today = localDay(new Date(), draft.time_zone);
  const records = onlyWho
    ? []
    : recordsOf(draft, plotId, today).map((record) => asItem(record.type, record.id, record.set));
  // Readers may look but not write: the server would refuse their member record.
  await setMeta('observer', observer);
  if (!onlyWho) await setMeta('time_zone', draft.time_zone);
  if (role !== 'reader' && records.length + member.length > 0) await saveMany([...records, ...member]);
}
