import { ButtonLink, Card } from '../../parts';
import { syncState } from '../../sync';
import { t } from '../../text';
import type { Due } from './model';

/** `kept`: it keeps its place when somebody else has settled all of it meanwhile. */
export function NeedsYou({ kept }: { kept: boolean }) {
  const { needs_you } = syncState.value;
  if (needs_you === 0 && !kept) return null;
  return (
    <Card title={t('now.needs_you', { n: needs_you })} icon="people" tone={needs_you > 0 ? 'bad' : 'plain'}>
      <p>{t(needs_you > 0 ? 'now.needs_you_text' : 'now.needs_you_none')}</p>
      <ButtonLink wide to="/sync">
        {t('now.needs_you_go')}
      </ButtonLink>
    </Card>
  );
}

/** The evening's question, from an hour before sunset on. */
export function EveningCard({ meters }: { meters: number }) {
  if (meters === 0) return null;
  return (
    <Card title={t('now.evening')} icon="moon" tone="glow">
      <p>{t('now.evening_text')}</p>
      <ButtonLink kind="main" wide to="/evening">
        {t('now.evening_go')}
      </ButtonLink>
    </Card>
  );
}

export function TrapsCard({ traps }: { traps: Due['traps'] }) {
  if (traps.all === 0) return <Teach title={t('now.traps')} icon="trap" text={t('now.traps_teach')} />;
  const isDue = traps.due > 0;
  return (
    <Card
      title={isDue ? t('now.traps_due') : t('now.traps')}
      icon="trap"
      tone={isDue || traps.to_read > 0 ? 'glow' : 'plain'}
    >
      <p>{trapWords(traps)}</p>
      <ButtonLink wide to="/traps">
        {isDue ? t('now.traps_go') : t('now.traps_see')}
      </ButtonLink>
    </Card>
  );
}

function trapWords(traps: Due['traps']): string {
  const due = traps.due > 0 ? t('now.traps_due_text', { n: traps.due }) : '';
  const read = traps.to_read > 0 ? t('now.traps_read', { n: traps.to_read }) : '';
  if (due || read)
    return [due, traps.late > 0 && t('now.traps_late', { n: traps.late }), read].filter(Boolean).join(' ');
  if (traps.in_ground === 0) return t('now.traps_out', { n: traps.all });
  return t('now.traps_in', { n: traps.in_ground, days: traps.next_in_days ?? 0 });
}

/** `writes` false: on a phone that only reads the card has words and no way to a form. */
export function ThermometerCard({ due, evening, writes }: { due: Due; evening: boolean; writes: boolean }) {
  const { all, unread } = due.thermometers;
  if (all === 0)
    return <Teach title={t('now.readings_due')} icon="thermometer" text={t('now.readings_teach')} />;
  return (
    <Card title={t('now.readings_due')} icon="thermometer">
      <p>
        {unread > 0 ? t('now.readings_due_text', { n: unread, m: all }) : t('now.readings_done', { m: all })}
      </p>
      {writes && (
        <div class="now-pair">
          <ButtonLink to="/readings">{t('now.readings_go')}</ButtonLink>
          {evening && (
            <ButtonLink icon="moon" to="/evening">
              {t('now.evening_go')}
            </ButtonLink>
          )}
        </div>
      )}
    </Card>
  );
}

/** What is not on the plot yet, and what it would be good for. */
function Teach({ title, icon, text }: { title: string; icon: 'trap' | 'thermometer'; text: string }) {
  return (
    <Card title={title} icon={icon}>
      <p class="soft">{text}</p>
      {icon === 'trap' ? (
        <ButtonLink to="/traps">{t('now.go_traps')}</ButtonLink>
      ) : (
        <ButtonLink to="/plot">{t('round.to_plot')}</ButtonLink>
      )}
    </Card>
  );
}
