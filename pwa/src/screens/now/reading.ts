/** What Now shows first, in one reading: each transaction more is waited for on a slow phone. */
import { breath } from '../../parts/breath';
import { type Ask, together } from '../../storage';
import type { PlotFacts } from '../forms/plot_facts';
import { type Alarms, readAlarms } from './alarms';
import { type Due, readDue } from './model';

export const FIRST_TYPES = [
  'round',
  'slug_count',
  'station',
  'place',
  'trap_catch',
  'temperature',
  'evening',
  'watch',
  'warning',
  'warning_reply',
] as const;

export interface First {
  due: Due;
  alarms: Alarms;
}

export async function readFirst(facts: PlotFacts, now: number): Promise<First> {
  const first = await together((ask) => askFirst(facts, now, ask));
  await breath();
  return first;
}

export async function askFirst(facts: PlotFacts, now: number, ask: Ask): Promise<First> {
  const [due, alarms] = await Promise.all([readDue(facts, new Date(), ask), readAlarms(facts, now, ask)]);
  return { due, alarms };
}
