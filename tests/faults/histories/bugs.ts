// Planted bugs of the client: each puts one wrong rule in the place of a right one. The oracle must see them.

import { putStanding, standingIn } from '../../../pwa/src/storage/meta_rows';
import { keepPage } from '../../../pwa/src/sync/pull';
import { RULES } from '../../../pwa/src/sync/rules';
import type { Page } from '../../../pwa/src/sync/wire';
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
    case 'bare_view':
      return { rules: { ...RULES, overlays: () => false } };
    case 'older_copy': {
      // The page before comes once more, late.
      const before = new WeakMap<object, Page>();
      return {
        rules: { ...RULES, isOlder: () => false },
        keepPage: async (wires, page, standing) => {
          await keepPage(wires, page, standing);
          const late = before.get(wires);
          before.set(wires, page);
          if (late?.epoch !== page.epoch) return;
          await keepPage(wires, { ...page, records: late.records }, { ...standing, cursor: page.cursor });
        },
      };
    }
    case 'freshened':
      return {
        rules: RULES,
        keepPage: async (wires, page, standing) => {
          await keepPage(wires, page, standing);
          await wires.store.write(['outbox'], async (tx) => {
            const came = new Map(page.records.map(({ id, rev }) => [id, rev]));
            for (const op of await tx.all('outbox')) {
              tx.put('outbox', { ...op, base_rev: came.get(op.id) ?? op.base_rev });
            }
          });
        },
      };
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
