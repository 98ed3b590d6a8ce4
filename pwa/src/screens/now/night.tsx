/** What Now says of a night, in a file of its own: it needs calculations that the first picture does not wait for. */
import type { ComponentChildren } from 'preact';
import type { FrostDecision } from '../../domain/frost_decision';
import type { Warning } from '../../generated/api';
import { Button, ButtonLink, Card, Icon } from '../../parts';
import type { Ask, View } from '../../storage';
import { t } from '../../text';
import { isLikely, lowestWords, verdictWords } from '../evening/forecast';
import { decide, eveningFacts, isRead, loadTonight, type Tonight } from '../evening/tonight';
import { dayPlus, localClock, momentAt } from '../forms/local_time';
import { mayRecord, type PlotFacts } from '../forms/plot_facts';
import { type Minimum, nightWarned, suggested } from '../warnings/last_night';
import { minimumFor, unanswered } from '../warnings/model';
import { sunOfNight } from '../warnings/night_facts';
import { degreeWords } from '../warnings/numbers';
import { say } from '../warnings/replies';
import { whenWords, windowWords } from '../warnings/words';
import { worstOf } from '../warnings/worst';
import type { Alarms } from './alarms';

const HOUR = 3_600_000;

type Props = { facts: PlotFacts; now: number };

const OUTCOMES = ['happened', 'did_not_happen', 'not_known'] as const;

type Asked = { view: View<'warning'>; minimum: Minimum | undefined };

/** Warnings of last night that nobody has answered yet. */
export async function readLastNight({ facts, now }: Props, ask: Ask): Promise<Asked[]> {
  const open = await unanswered(facts, now, ask);
  return await Promise.all(open.map(async (view) => ({ view, minimum: await minimumFor(view, facts, ask) })));
}

/** The morning after a warning of frost: one tap says how it came out, the thermometer's answer offered first. */
export function LastNight({ facts, now, asked }: Props & { asked: readonly Asked[] }) {
  // Of one night two rules may have spoken; one question a morning is enough, and the first rule's it is.
  const one = asked.find(({ view }) => view.body.rule === 'frost') ?? asked[0];
  if (!one || !mayRecord(facts)) return null;
  const { view, minimum } = one;
  const offered = suggested(minimum, worstOf(view.body.numbers).line_c);
  return (
    <Card title={t('warnings.ask_froze')} icon="frost" tone="glow">
      <p>
        {t('warnings.was_warned', { when: windowWords(view.body, new Date(now), facts.time_zone) })}{' '}
        {minimumWords(minimum, facts)}
      </p>
      <div class="alarm-deeds">
        {OUTCOMES.map((what) => (
          <Button
            key={what}
            kind={what === offered ? 'main' : 'plain'}
            {...(what === offered ? { icon: 'tick' as const } : {})}
            onClick={() => void say(view.id, { outcome: what, seen: true }, facts)}
          >
            {t(`warnings.froze_${what}`)}
          </Button>
        ))}
      </div>
    </Card>
  );
}

function minimumWords(minimum: Minimum | undefined, facts: PlotFacts): string {
  if (!minimum) return t('warnings.read_none');
  return t('warnings.read_at', {
    meter: minimum.meter.label ?? '',
    min: degreeWords(minimum.min_c, facts.unit),
    when: whenWords(minimum.read_at, facts),
  });
}

/** Tonight, where somebody has read this evening. */
export async function readTonight({ facts, now }: Props, ask: Ask): Promise<Tonight | undefined> {
  const at = new Date(now);
  return (await isRead(facts, at, ask)) ? await loadTonight(facts, at, ask) : undefined;
}

type TonightProps = Props & {
  tonight: Tonight | undefined;
  alarms: Alarms;
  children: (alarms: Alarms) => ComponentChildren;
};

/**
 * Tonight as the phone reckons it from the evening reading, until the server has said its own. The server's
 * warning stays unless it is older than a reading that is still only here: one of the two is shown, never both.
 * `children` draws the warnings that are left.
 */
export function WithTonight({ facts, now, tonight, alarms, children }: TonightProps) {
  const ours = tonight && isOurs(tonight, alarms, facts, now) ? tonight : undefined;
  const evening = ours?.evening && eveningFacts(ours.evening.body);
  const told = ours && evening && decide(ours, evening, ours.seen_c);
  if (!ours || !told) return <>{children(alarms)}</>;
  const left = alarms.standing.filter(({ view }) => !isOfNight(view.body, ours, facts));
  const card = <TonightCard tonight={ours} told={told} facts={facts} />;
  const first = told.fires && ours.on;
  return (
    <>
      {first && card}
      {children({ ...alarms, standing: left })}
      {!first && card}
    </>
  );
}

type CardProps = { tonight: Tonight; told: FrostDecision; facts: PlotFacts };

function TonightCard({ tonight, told, facts }: CardProps) {
  const warns = told.fires && tonight.on;
  const { evening } = tonight;
  const clock = localClock(evening?.body.observed_at ?? new Date(), facts.time_zone);
  return (
    <section
      class={`alarm alarm-${!warns ? 'Minor' : isLikely(told) ? 'Severe' : 'Moderate'}`}
      aria-label={t('evening.tonight')}
    >
      <p class="alarm-rank">
        <Icon name={warns ? 'frost' : 'moon'} />
        <span class="grow">{t('evening.tonight')}</span>
        <span class="small">
          {t(evening?.pending ? 'evening.from_reading_here' : 'evening.from_reading', { clock })}
        </span>
      </p>
      <h2>{verdictWords(told, tonight, facts)}</h2>
      <p>{lowestWords(told, facts)}</p>
      {!told.clear && <p class="small">{t('evening.not_still')}</p>}
      {warns && <p class="alarm-do">{t('evening.do_short')}</p>}
      <p class="soft small">{t(`evening.basis_${tonight.basis}`, { n: tonight.n_nights })}</p>
      <ButtonLink wide to="/evening">
        {t('evening.look')}
      </ButtonLink>
    </section>
  );
}

/** Whether the phone's own figure is to be shown: the night is not over and the server has none that is as new. */
function isOurs(tonight: Tonight, alarms: Alarms, facts: PlotFacts, now: number): boolean {
  const { night, evening } = tonight;
  const sun = sunOfNight(night, facts);
  const end = sun ? sun.sunrise + HOUR : Date.parse(momentAt(dayPlus(night, 1), '09:00', facts.time_zone));
  if (!evening || now >= end) return false;
  const theirs = alarms.standing.filter(({ view }) => isOfNight(view.body, tonight, facts));
  return theirs.every(({ view }) => tonight.unsent_at > Date.parse(view.body.updated_at ?? ''));
}

/** The server's warning of frost in the air this night. */
function isOfNight(body: Partial<Warning>, tonight: Tonight, facts: PlotFacts): boolean {
  return body.rule === 'frost' && nightWarned(body, facts.time_zone) === tonight.night;
}
