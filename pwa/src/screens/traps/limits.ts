/** From which catch on a bed is refused, and up to which it is tolerated: the plot's settings. Pure. */
import { RULES, type Watch } from '../../generated/api';
import { watchOf } from '../watch/model';
import type { Limits } from './evidence';

/** The plot's own settings of the wireworm rule, or its usual ones. */
export function limitsOf(watches: readonly { id: string; body: Partial<Watch> }[]): Limits {
  const settings = RULES.find(({ name }) => name === 'wireworm')?.settings ?? [];
  const given = watchOf(watches, 'wireworm')?.body.settings ?? {};
  const value = (name: keyof Limits): number => {
    const own = given[name];
    return typeof own === 'number' ? own : Number(settings.find((setting) => setting.name === name)?.default);
  };
  return {
    plant_per_trap: value('plant_per_trap'),
    do_not_per_trap: value('do_not_per_trap'),
    do_not_per_ha: value('do_not_per_ha'),
    clumping_k: value('clumping_k'),
  };
}
