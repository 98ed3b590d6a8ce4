import { Button, ButtonLink, Card, PageHeader } from '../../parts';
import { meta, useLive } from '../../storage';
import { syncNow, syncState } from '../../sync';
import { inOurWords, t } from '../../text';
import { dayWords, localClock, localDay } from '../forms/local_time';
import { mayRecord, type PlotFacts, usePlotFacts } from '../forms/plot_facts';
import { Channels } from './channels';
import { useClock, WrongClock } from './clock';
import { Devices } from './devices';
import { Keeping } from './keeping';
import { Missing, useMissing } from './missing';
import { Phone } from './phone';
import { Settle, useOpen } from './settle';
import { Settled, useSettled } from './settled';
import { UnsentFile } from './unsent_file';
import { UnsentIn } from './unsent_in';
import '../forms/style.css';
import './style.css';

export default function Sync() {
  const facts = usePlotFacts();
  const paired = useLive(
    async () => ({ as: await meta<{ plot_id: string; device_id: string }>('paired') }),
    ['plot', 'outbox'],
  );
  // Both ask elsewhere: begun beside the first reading and not after it.
  const missing = useMissing();
  const clock = useClock();
  if (!facts || !paired) return <div class="page" aria-busy="true" />;
  return <Whole facts={facts} paired={paired.as} missed={missing} clock={clock} />;
}

type WholeProps = {
  facts: PlotFacts;
  paired: { device_id: string } | undefined;
  missed: ReturnType<typeof useMissing>;
  clock: ReturnType<typeof useClock>;
};

/** Drawn at once when all of it is read: a card that came later would push the others about. */
function Whole({ facts, paired, missed: [missing, setMissing], clock }: WholeProps) {
  const open = useOpen(facts);
  const settled = useSettled(facts);
  if (missing === undefined || !open || !settled || clock === undefined)
    return <div class="page" aria-busy="true" />;
  const writes = paired !== undefined && mayRecord(facts);
  return (
    <div class="page">
      <PageHeader title={t('sync.title')} />
      <Numbers />
      <Standing paired={paired !== undefined} timeZone={facts.time_zone} />
      {clock && <WrongClock words={clock} />}
      {writes && <Missing n={missing} setN={setMissing} />}
      <Settle facts={facts} data={open} />
      <Settled facts={facts} data={settled} />
      <UnsentFile />
      {writes && <UnsentIn facts={facts} />}
      {paired && (
        <Card title={t('files.title')}>
          <p class="soft">{t('files.why')}</p>
          <ButtonLink to="/files">{t('files.open')}</ButtonLink>
        </Card>
      )}
      {paired && <Channels facts={facts} />}
      {paired && <Devices mine={paired.device_id} facts={facts} />}
      <Phone facts={facts} />
      <Keeping />
    </div>
  );
}

/** The three numbers that always stand here, nought included. */
function Numbers() {
  const { only_here, needs_you, photos_waiting } = syncState.value;
  const rows = [
    { n: only_here, words: t('sync.only_here'), bad: false },
    { n: needs_you, words: t('sync.needs_you', { n: needs_you }), bad: needs_you > 0 },
    { n: photos_waiting, words: t('sync.photos_waiting', { n: photos_waiting }), bad: false },
  ];
  return (
    <dl class="sync-numbers">
      {rows.map((row) => (
        <div key={row.words} class={row.bad ? 'sync-number sync-number-bad' : 'sync-number'}>
          <dd class="figures">{row.n}</dd>
          <dt>{row.words}</dt>
        </div>
      ))}
    </dl>
  );
}

function Standing({ paired, timeZone }: { paired: boolean; timeZone: string }) {
  const state = syncState.value;
  const busy = state.phase === 'syncing';
  const waiting = state.phase === 'idle' && state.only_here > 0;
  const phase = !paired ? 'not_paired' : waiting ? 'waiting' : state.phase;
  const last = state.last_sync_at;
  const today = localDay(new Date(), timeZone);
  const when = last ? `${dayWords(localDay(last, timeZone), today)} ${localClock(last, timeZone)}` : '';
  const tone =
    state.phase === 'trouble' || state.phase === 'pair_again' || state.phase === 'update_needed'
      ? 'bad'
      : 'plain';
  return (
    <Card tone={tone} title={t(`sync.phase_${phase}`)} icon="sync">
      <div class="stack-tight sync-standing">
        <p role="status">
          {phase === 'waiting' ? t('sync.words_waiting', { n: state.only_here }) : inOurWords(state.words)}
        </p>
        <p class="soft small">{last ? t('sync.last', { when }) : t('sync.never')}</p>
      </div>
      {state.stuck > 0 && <p>{t('sync.stuck', { n: state.stuck })}</p>}
      {paired && state.phase !== 'pair_again' ? (
        <Button kind="main" wide disabled={busy} onClick={() => void syncNow()}>
          {t('sync.now')}
        </Button>
      ) : (
        <ButtonLink kind="main" wide to="/join">
          {t('sync.join')}
        </ButtonLink>
      )}
      {state.phase === 'not_home' && location.protocol === 'https:' && <Trust />}
      <p class="soft small">{t('sync.open_home')}</p>
    </Card>
  );
}

/**
 * A page cannot tell a server that is out of reach from one whose certificate the phone does not trust (any more). The
 * browser can: it says so before a page that comes from the server, as this one does and the app does not.
 */
function Trust() {
  return (
    <p class="small">
      {t('sync.trust')}{' '}
      <a href="/install-ca" target="_blank" rel="noopener">
        {t('sync.trust_look')}
      </a>
    </p>
  );
}
