import { useState } from 'preact/hooks';
import type { Answer } from '../../domain/warnings';
import { Button, ButtonLink, Card, Icon, Notice } from '../../parts';
import type { View } from '../../storage';
import { t } from '../../text';
import { mayRecord, type PlotFacts } from '../forms/plot_facts';
import { suggested } from './last_night';
import type { WarningPage } from './model';
import { degreeWords } from './numbers';
import { say } from './replies';
import { deedOf, goOf, outcomeOf, whenWords } from './words';
import { worstOf } from './worst';

type DeedsProps = { view: View<'warning'>; answer: Answer; facts: PlotFacts; over: boolean };

/** "Seen" and what one does about it; each tap is kept at once and can be taken back. */
export function Deeds({ view, answer, facts, over }: DeedsProps) {
  const deed = deedOf(view.body.rule);
  const writes = mayRecord(facts);
  const go = over || !writes ? undefined : goOf(view.body.rule);
  const { acted, seen } = answer;
  return (
    <div class="warning-deeds" aria-live="polite">
      {writes && !seen && !over && (
        <Button onClick={() => void say(view.id, { seen: true }, facts)}>{t('warnings.seen')}</Button>
      )}
      {seen && !acted && (
        <p class="warning-said soft">
          <Icon name="tick" />
          <span>{t('warnings.you_saw')}</span>
        </p>
      )}
      {acted ? (
        <p class="warning-said">
          <Icon name="tick" />
          <span class="grow">
            {t('warnings.said_acted', {
              deed: t(`now.deed_${deed ?? 'done'}`),
              who: acted.observer || t('round.someone'),
              when: whenWords(acted.at, facts),
            })}
          </span>
          {writes && acted.observer === facts.observer && (
            <Button kind="quiet" icon="undo" onClick={() => void say(view.id, { acted: false }, facts)}>
              {t('warnings.undo')}
            </Button>
          )}
        </p>
      ) : (
        writes &&
        deed &&
        !over && (
          <Button
            kind="main"
            icon="tick"
            onClick={() => void say(view.id, { seen: true, acted: true }, facts)}
          >
            {t(`now.deed_${deed}`)}
          </Button>
        )
      )}
      {go && <ButtonLink to={`/${go}`}>{t(`now.go_${go}`)}</ButtonLink>}
    </div>
  );
}

const OUTCOMES = ['happened', 'did_not_happen', 'not_known'] as const;

type OutcomeProps = { view: View<'warning'>; data: WarningPage; facts: PlotFacts; over: boolean };

/** What really happened, asked when the time of the warning is over; what the thermometer says is offered first. */
export function Outcome({ view, data, facts, over }: OutcomeProps) {
  const [again, setAgain] = useState(false);
  const asked = outcomeOf(view.body.rule);
  if (!asked || !over) return null;
  const { outcome, differ } = data.answer;
  if (outcome && !again) {
    return (
      <Card title={t(`warnings.ask_${asked}`)} icon="tick" tone="good">
        <p aria-live="polite">
          {t('warnings.said_outcome', {
            words: t(`warnings.${asked}_${outcome.what}`),
            who: outcome.observer || t('round.someone'),
          })}
        </p>
        {differ && <Notice tone="glow">{t('warnings.outcome_differs')}</Notice>}
        {mayRecord(facts) && (
          <Button kind="quiet" onClick={() => setAgain(true)}>
            {t('warnings.change_answer')}
          </Button>
        )}
      </Card>
    );
  }
  if (!mayRecord(facts)) return null;
  const answer = async (what: (typeof OUTCOMES)[number]) => {
    if (await say(view.id, { outcome: what, seen: true }, facts)) setAgain(false);
  };
  const line = worstOf(view.body.numbers).line_c;
  const { minimum } = data;
  const offered = asked === 'froze' ? suggested(minimum, line) : undefined;
  return (
    <Card title={t(`warnings.ask_${asked}`)} icon="frost" tone="glow">
      {asked === 'froze' && (
        <p class="small figures">
          {minimum
            ? t('warnings.read_at', {
                meter: meterWords(minimum.meter, data.places),
                min: degreeWords(minimum.min_c, facts.unit),
                when: whenWords(minimum.read_at, facts),
              })
            : t('warnings.read_none')}{' '}
          {line !== 0 && t('warnings.ask_line', { line: degreeWords(line, facts.unit) })}
        </p>
      )}
      <div class="warning-outcomes">
        {OUTCOMES.map((what) => (
          <Button
            key={what}
            kind={what === offered ? 'main' : 'plain'}
            {...(what === offered ? { icon: 'tick' as const } : {})}
            onClick={() => void answer(what)}
          >
            {t(`warnings.${asked}_${what}`)}
          </Button>
        ))}
      </div>
    </Card>
  );
}

function meterWords(
  meter: { label?: string; place_id?: string },
  places: ReadonlyMap<string, string>,
): string {
  return [meter.label, places.get(meter.place_id ?? '')].filter(Boolean).join(', ');
}
