/** What this phone says to a warning: one reply record a warning, edited further. Works with no network. */
import type { WarningReply } from '../../generated/api';
import { type Ask, newId, oneByOne, setMeta } from '../../storage';
import { withOffset } from '../forms/local_time';
import type { PlotFacts } from '../forms/plot_facts';
import { kept, saveChange } from '../forms/write';

type Said = Partial<Pick<WarningReply, 'seen' | 'acted' | 'outcome'>>;

const keyOf = (warningId: string): string => `reply/${warningId}`;

/** The id of this phone's reply to a warning, if it ever gave one. */
export async function myReply(warningId: string, ask: Ask = oneByOne): Promise<string | undefined> {
  return await ask.meta<string>(keyOf(warningId));
}

/** Keep what was said; false when the phone could not (the banner says why). */
export async function say(
  warningId: string,
  said: Said,
  facts: Pick<PlotFacts, 'observer' | 'time_zone'>,
): Promise<boolean> {
  return await kept(async () => {
    let id = await myReply(warningId);
    if (!id) {
      // The id first: should the phone die in between, the reply is made under the same id later.
      id = newId();
      await setMeta(keyOf(warningId), id);
    }
    await saveChange('warning_reply', id, {
      warning_id: warningId,
      observed_at: withOffset(new Date(), facts.time_zone),
      observer: facts.observer,
      ...said,
    });
  });
}
