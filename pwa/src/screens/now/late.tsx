/** What Now says of nights, of treated places and of trials: needs more code than the frame has, fetched beside the records. */
import type { ComponentChildren } from 'preact';
import { HarvestWaits, useHarvestWaits } from '../diary/harvest_waits';
import type { PlotFacts } from '../forms/plot_facts';
import { TrialsDue, useTrialsDue } from '../trials/due_card';
import { AlarmCards } from './alarm_cards';
import type { Alarms } from './alarms';
import { LastNight, useLastNight, useTonight, WithTonight } from './night';

type Props = { facts: PlotFacts; now: number; alarms: Alarms; children: ComponentChildren };

/** All of it at once, and what is due (`children`) under it: cards that came one by one would push the others about. */
export function Late({ facts, now, alarms, children }: Props) {
  const read = useTonight({ facts, now });
  const asked = useLastNight({ facts, now });
  const waits = useHarvestWaits(facts);
  const trials = useTrialsDue(facts, now);
  if (!read || !asked || !waits || !trials) return null;
  const shared = { facts, now };
  return (
    <>
      <WithTonight {...shared} tonight={read.tonight} alarms={alarms}>
        {(left) => (
          <AlarmCards {...shared} alarms={left}>
            {left.n_known > 0 && <LastNight {...shared} asked={asked} />}
          </AlarmCards>
        )}
      </WithTonight>
      <HarvestWaits {...shared} read={waits} />
      <TrialsDue data={trials} />
      {children}
    </>
  );
}
