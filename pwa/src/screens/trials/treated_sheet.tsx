import { useEffect, useState } from 'preact/hooks';
import { Button, Sheet } from '../../parts';
import { list, newId, saveDraft, saveMany, useLive } from '../../storage';
import { t } from '../../text';
import { load, TYPES } from '../diary/load';
import { emptyTreatment, type TreatmentKind } from '../diary/treatment';
import { TreatmentSheet } from '../diary/treatment_sheet';
import { localClock, localDay, momentAt } from '../forms/local_time';
import { MomentField } from '../forms/moment_field';
import type { PlotFacts } from '../forms/plot_facts';
import { useDraft } from '../forms/use_draft';
import { asItem, kept, saveChange } from '../forms/write';
import type { OtherTreatment } from './flaws';
import type { Story } from './load';
import { treatedOn } from './model';
import '../diary/style.css';

type Props = {
  story: Story;
  facts: PlotFacts;
  known: readonly OtherTreatment[];
  onClose: () => void;
};

/** Beds go through the diary's own form, with its soil check and cautions; single boards need only the moment. */
export function TreatedSheet(props: Props) {
  const places = props.story.units.every(({ kind }) => kind === 'place');
  return places ? <PlacesTreated {...props} /> : <BoardsTreated {...props} />;
}

function PlacesTreated({ story, facts, known, onClose }: Props) {
  const { trial, units } = story;
  const key = `treatment:trial:${trial.id}`;
  const zone = facts.time_zone;
  const data = useLive(() => load(zone, 31), ['place', 'station', ...TYPES], [zone]);
  const [filled, setFilled] = useState(false);
  useEffect(() => {
    const now = new Date();
    const of = (side: 'treated' | 'control') =>
      units.filter((unit) => unit.side === side).map(({ id }) => id);
    saveDraft(key, {
      ...emptyTreatment(localDay(now, zone), localClock(now, zone)),
      kind: (trial.kind ?? 'other') as TreatmentKind,
      place_ids: of('treated'),
      control_place_ids: of('control'),
    })
      .catch(() => undefined)
      .then(() => setFilled(true));
  }, [key]);
  const close = async () => {
    await linkNew(story, known, zone);
    onClose();
  };
  if (!data || !filled) return null;
  return <TreatmentSheet facts={facts} data={data} draftKey={key} onClose={() => void close()} />;
}

/** The treatment that was written down just now becomes the trial's own; closed without saving there is none. */
async function linkNew({ trial }: Story, known: readonly OtherTreatment[], zone: string): Promise<void> {
  const before = new Set(known.map(({ id }) => id));
  const fresh = (await list('treatment')).find(({ id, body }) => !before.has(id) && body.kind === trial.kind);
  if (!fresh?.body.observed_at) return;
  const day = localDay(fresh.body.observed_at, zone);
  await kept(() => saveChange('trial', trial.id, { ...treatedOn(trial, day), treatment_ids: [fresh.id] }));
}

function BoardsTreated({ story, facts, onClose }: Props) {
  const { trial, units } = story;
  const now = new Date();
  const zone = facts.time_zone;
  const draft = useDraft(`treated:${trial.id}`, { day: localDay(now, zone), clock: localClock(now, zone) });
  const labels = units.filter(({ side }) => side === 'treated').map(({ label }) => label);
  const save = async () => {
    const { day, clock } = draft.value;
    const id = newId();
    const treatment = {
      kind: trial.kind ?? 'other',
      observed_at: momentAt(day, clock, zone),
      observer: facts.observer,
      note: t('trials.treatment_note', { name: trial.name ?? '', labels: labels.join(', ') }).slice(0, 2000),
    };
    const items = [
      asItem('treatment', id, treatment),
      asItem('trial', trial.id, { ...treatedOn(trial, day), treatment_ids: [id] }),
    ];
    if (!(await kept(() => saveMany(items)))) return;
    await draft.clear();
    onClose();
  };
  if (!draft.ready) return null;
  return (
    <Sheet title={t('trials.write_treatment')} onClose={onClose}>
      <p>{t('trials.boards_treated', { labels: labels.join(', ') })}</p>
      <MomentField day={draft.value.day} clock={draft.value.clock} onChange={draft.change} />
      <Button kind="main" wide onClick={() => void save()}>
        {t('trials.save_treatment')}
      </Button>
    </Sheet>
  );
}
