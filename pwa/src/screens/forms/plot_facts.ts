import { type Ask, setMeta, together, useLive, type View } from '../../storage';
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
  const read = await together(askFacts);
  await keepZone(read);
  return factsOf(read);
}

type Told = {
  plot: View<'plot'> | undefined;
  observer: string | undefined;
  paired: { plot_id: string; device_id?: string; role?: string } | undefined;
  kept_zone: string | undefined;
};

/** What the facts are made of. */
export async function askFacts(ask: Ask): Promise<Told> {
  const [[plot], observer, paired, kept_zone] = await Promise.all([
    ask.list('plot'),
    ask.meta<Told['observer']>('observer'),
    ask.meta<Told['paired']>('paired'),
    ask.meta<Told['kept_zone']>('time_zone'),
  ]);
  return { plot, observer: noted(observer), paired, kept_zone };
}

/** Storage cuts lists by local days of the plot: it has to know the plot's zone as soon as we do. */
export async function keepZone({ plot, kept_zone }: Told): Promise<void> {
  const zone = plot?.body.time_zone;
  if (zone && kept_zone !== zone) await setMeta('time_zone', zone);
}

export function factsOf({ plot, observer, paired }: Told): PlotFacts {
  return {
    plot,
    plot_id: paired?.plot_id || plot?.id,
    time_zone: plot?.body.time_zone ?? phoneZone(),
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

/**
 * Whose counts this phone writes. Noted beside the database too: a system that empties that as a rule leaves this, and
 * a phone that went on with no name would count beside its own counts, as somebody else.
 */
const NOTE = 'underboard.observer';

/** The name that the database knows, noted; or if it knows none, the one that was noted. */
export function noted(name: string | undefined): string | undefined {
  try {
    if (name) localStorage[NOTE] = name;
    return name ?? localStorage[NOTE];
  } catch {
    return name; // closed to us: the database has it
  }
}
