import { ButtonLink, EmptyState, Notice, PageHeader } from '../../parts';
import { useLive } from '../../storage';
import { t } from '../../text';
import { dayWords, localDay } from '../forms/local_time';
import { NoPlot } from '../forms/no_plot';
import { mayRecord, type PlotFacts, usePlotFacts } from '../forms/plot_facts';
import { useDraft } from '../forms/use_draft';
import { loadGround, rowsIn, type SheetGround } from '../paper/load';
import { isDay, orderMark, readAddress, type SheetAddress } from '../paper/model';
import { blankSheet, type Keyed } from './model';
import { KeySheet } from './sheet';
import '../forms/style.css';
import './style.css';

/** Where a sheet's square code leads: its rows, to be keyed in. */
export default function Keying() {
  const facts = usePlotFacts();
  const ground = useLive(loadGround, ['station', 'place', 'trap_catch']);
  const address = readAddress(location.search);
  if (!facts || !ground) return <div class="page" aria-busy="true" />;
  if (!address) return <Stray title={t('keying.stranger_title')} text={t('keying.stranger_text')} />;
  if (!facts.plot)
    return (
      <>
        <NoPlot title={t(`keying.title_${address.kind}`)} />
        <p class="page soft">{t('keying.no_plot_text')}</p>
      </>
    );
  if (address.plot_id !== '' && address.plot_id !== facts.plot_id) {
    const text = t('keying.other_plot_text', { plot: facts.plot.body.name ?? '' });
    return <Stray title={t('keying.other_plot_title')} text={text} />;
  }
  if (!mayRecord(facts)) return <Stray title={t(`keying.title_${address.kind}`)} text={t('keying.reader')} />;
  return <Known key={location.search} address={address} facts={facts} ground={ground} />;
}

type KnownProps = { address: SheetAddress; facts: PlotFacts; ground: SheetGround };

function Known({ address, facts, ground }: KnownProps) {
  const { kind, day } = address;
  const draft = useDraft<Keyed>(`keying:${kind}:${day ?? 'open'}`, blankSheet(day));
  if (!draft.ready) return <div class="page" aria-busy="true" />;
  const today = localDay(new Date(), facts.time_zone);
  const rows = rowsIn(ground, kind, isDay(draft.value.day) ? draft.value.day : today);
  const under = [facts.plot?.body.name, day ? dayWords(day, today) : ''].filter(Boolean).join(' · ');
  const moved = address.order !== '' && address.order !== orderMark(rows);
  return (
    <div class="page keying">
      <PageHeader title={t(`keying.title_${kind}`)} back="/paper" under={under} />
      {moved && <Notice tone="glow">{t('keying.changed')}</Notice>}
      <KeySheet kind={kind} day={day} rows={rows} draft={draft} facts={facts} ground={ground} />
    </div>
  );
}

function Stray({ title, text }: { title: string; text: string }) {
  return (
    <div class="page">
      <EmptyState whole title={title} action={<ButtonLink to="/paper">{t('keying.to_paper')}</ButtonLink>}>
        {text}
      </EmptyState>
    </div>
  );
}
