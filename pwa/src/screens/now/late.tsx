/** What Now says of nights, of treated places and of trials: needs more code than the frame has, fetched beside the records. */
import type { ComponentChildren } from 'preact';
import { breath } from '../../parts/breath';
import { type Ask, together, useLive } from '../../storage';
import { HarvestWaits, readHarvestWaits } from '../diary/harvest_waits';
import type { PlotFacts } from '../forms/plot_facts';
import { readTrialsDue, TrialsDue } from '../trials/due_card';
import { TRIAL_TYPES } from '../trials/load';
import { AlarmCards } from './alarm_cards';
import type { Alarms } from './alarms';
import { LastNight, readLastNight, readTonight, WithTonight } from './night';

type Props = { facts: PlotFacts; now: number; alarms: Alarms; children: ComponentChildren };

/** All of it at once, and what is due (`children`) under it: cards that came one by one would push the others about. */
export function Late({ facts, now, alarms, children }: Props) {
  const read = useLive(() => readLate({ facts, now }), LATE_TYPES, [
    now,
    facts.time_zone,
    facts.plot_id,
    facts.observer,
  ]);
  if (!read) return null;
  const shared = { facts, now };
  return (
    <>
      <WithTonight {...shared} tonight={read.tonight} alarms={alarms}>
        {(left) => (
          <AlarmCards {...shared} alarms={left}>
            {left.n_known > 0 && <LastNight {...shared} asked={read.asked} />}
          </AlarmCards>
        )}
      </WithTonight>
      <HarvestWaits {...shared} read={read.waits} />
      <TrialsDue data={read.trials} />
      {children}
    </>
  );
}

const LATE_TYPES = [
  ...TRIAL_TYPES,
  'warning',
  'warning_reply',
  'temperature',
  'evening',
  'crop',
  'crop_event',
  'watch',
  'learned',
] as const;

type Asked = { facts: PlotFacts; now: number };

async function readLate(asked: Asked) {
  const late = await together((ask) => askLate(asked, ask));
  await breath();
  return late;
}

export async function askLate(now: Asked, ask: Ask) {
  const [tonight, asked, waits, trials] = await Promise.all([
    readTonight(now, ask),
    readLastNight(now, ask),
    readHarvestWaits(now.facts, ask),
    readTrialsDue(now.facts, ask),
  ]);
  return { tonight, asked, waits, trials };
}
