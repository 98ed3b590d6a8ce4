import { list, meta, setMeta, useLive, type View } from '../../storage';
import type { TemperatureUnit } from '../readings/model';

/** What nearly every form needs to know of the plot and of this phone. */
export interface PlotFacts {
  plot: View<'plot'> | undefined;
  plot_id: string | undefined;
  time_zone: string;
  unit: TemperatureUnit;
  habit: 'morning' | 'evening';
  observer: string;
  role: string | undefined;
}

/** Whether the server takes what this phone writes (web/roles.py); a phone that only reads is offered nothing to write. */
export function mayRecord({ role }: Pick<PlotFacts, 'role'>): boolean {
  return role !== 'reader';
}

export function phoneZone(): string {
  return Intl.DateTimeFormat().resolvedOptions().timeZone || 'UTC';
}

export async function readPlotFacts(): Promise<PlotFacts> {
  const [[plot], observer, paired, keptZone] = await Promise.all([
    list('plot'),
    meta('observer'),
    meta('paired'),
    meta('time_zone'),
  ]);
  return await factsOf(plot, { observer, paired, time_zone: keptZone });
}

/** Keys of the small facts about this phone that the facts are made of. */
export const FACT_METAS = ['observer', 'paired', 'time_zone'] as const;

export async function factsOf(
  plot: View<'plot'> | undefined,
  metas: { [K in (typeof FACT_METAS)[number]]?: unknown },
): Promise<PlotFacts> {
  const observer = metas.observer as string | undefined;
  const paired = metas.paired as { plot_id: string; role?: string } | undefined;
  const keptZone = metas.time_zone;
  const timeZone = plot?.body.time_zone ?? phoneZone();
  // Storage cuts lists by local days of the plot: it has to know the plot's zone as soon as we do.
  if (plot?.body.time_zone && keptZone !== timeZone) await setMeta('time_zone', timeZone);
  return {
    plot,
    plot_id: paired?.plot_id || plot?.id,
    time_zone: timeZone,
    unit: plot?.body.units?.temperature === 'degF' ? 'degF' : 'degC',
    habit: plot?.body.reading_habit === 'evening' ? 'evening' : 'morning',
    observer: observer ?? '',
    role: paired?.role,
  };
}

/** The facts, fresh after every change of the plot record; `undefined` until they are read. */
export function usePlotFacts(): PlotFacts | undefined {
  return useLive(readPlotFacts, ['plot']);
}
