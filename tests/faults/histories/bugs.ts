// Planted bugs of the client: each puts one wrong rule in the place of a right one. The oracle must see them.

import { putStanding, standingIn } from '../../../pwa/src/storage/meta_rows';
import { keepPage } from '../../../pwa/src/sync/pull';
import { RULES } from '../../../pwa/src/sync/rules';
import { Crash, type PhoneRules } from './phone';

export const RIGHT: PhoneRules = { rules: RULES };

/** `crashes`: asked between storing the cursor and storing the rows. */
export function clientBug(name: string, crashes: () => boolean): PhoneRules {
  switch (name) {
    case 'launder':
      return { rules: { ...RULES, clashes: () => false } };
    case 'ack_base':
      return { rules: { ...RULES, answerMovesBase: () => true } };
    case 'replay_view':
      return { rules: { ...RULES, overlays: () => true } };
    case 'no_archive':
      return { rules: { ...RULES, replay: () => [] } };
    case 'blind_form':
      return { rules: { ...RULES, unseen: () => [] } };
    case 'cursor_first':
      return {
        rules: RULES,
        keepPage: async (wires, page, standing) => {
          await wires.store.write(['meta'], async (tx) => {
            putStanding(tx, { ...(await standingIn(tx)), cursor: page.cursor });
          });
          if (crashes()) throw new Crash();
          await keepPage(wires, page, { ...standing, cursor: page.cursor });
        },
      };
    default:
      return RIGHT;
  }
}

export const CLIENT_BUGS = ['launder', 'ack_base', 'replay_view', 'no_archive', 'blind_form', 'cursor_first'];
