import { Button, ButtonLink, Card, EmptyState, Notice, PageHeader, Segmented, TextField } from '../../parts';
import { useLive } from '../../storage';
import { t } from '../../text';
import { dayWords, localDay } from '../forms/local_time';
import { NoPlot } from '../forms/no_plot';
import { mayRecord, type PlotFacts, usePlotFacts } from '../forms/plot_facts';
import { useDraft } from '../forms/use_draft';
import { Leaf } from './leaf';
import { loadGround, rowsIn, type SheetGround, setDays } from './load';
import {
  caughtOn,
  isDay,
  keyingPath,
  orderMark,
  PAPERS,
  type Paper,
  pagesOf,
  SHEET_KINDS,
  type SheetKind,
  type SheetRow,
} from './model';
import { squareCode } from './square_code';
import '../forms/style.css';
import './rows.css';
import './style.css';

/** What was chosen last time stays chosen: the same sheets are printed again and again. */
interface Wish {
  kind: SheetKind;
  paper: Paper;
  open: boolean;
}

export default function PaperSheets() {
  const facts = usePlotFacts();
  const ground = useLive(loadGround, ['station', 'place', 'trap_catch']);
  const wish = useDraft<Wish>('paper', { kind: 'dawn', paper: 'a4', open: false });
  const day = useDraft<{ day: string }>('paper_day', { day: '' });
  if (!facts || !ground || !wish.ready || !day.ready) return <div class="page" aria-busy="true" />;
  if (!facts.plot) return <NoPlot title={t('paper.title')} />;
  const today = localDay(new Date(), facts.time_zone);
  // A day chosen in the past was for a sheet of then.
  const chosen = isDay(day.value.day) && day.value.day >= today ? day.value.day : today;
  const { kind, paper, open } = wish.value;
  const rows = rowsIn(ground, kind, open ? today : chosen);
  const order = orderMark(rows);
  const address = keyingPath({
    plot_id: facts.plot_id ?? '',
    kind,
    order,
    ...(open ? {} : { day: chosen }),
  });
  return (
    <div class="page paper">
      <PageHeader title={t('paper.title')} back="/diary" under={t('paper.under')} />
      <Card title={t('paper.which')}>
        <Segmented
          label={t('paper.which')}
          hideLabel
          value={kind}
          choices={SHEET_KINDS.map((value) => ({ value, label: t(`paper.${value}`) }))}
          onChoose={(next) => wish.change({ kind: next })}
        />
        <Segmented
          label={t('paper.for_day')}
          value={open ? 'open' : 'fixed'}
          choices={[
            { value: 'fixed', label: t('paper.day_fixed') },
            { value: 'open', label: t('paper.day_open') },
          ]}
          onChoose={(next) => wish.change({ open: next === 'open' })}
        />
        {open ? (
          <p class="soft small">{t('paper.day_open_hint')}</p>
        ) : (
          <TextField
            label={t('forms.day')}
            type="date"
            value={chosen}
            onText={(text) => isDay(text) && day.change({ day: text })}
          />
        )}
        <Segmented
          label={t('paper.size')}
          value={paper}
          choices={PAPERS.map((value) => ({ value, label: t(`paper.${value}`) }))}
          onChoose={(next) => wish.change({ paper: next })}
        />
        {rows.length > 0 && (
          <>
            {!canBeReached(location.hostname) && <Notice tone="glow">{t('paper.only_here')}</Notice>}
            <Button kind="main" wide onClick={() => print()}>
              {t('paper.print')}
            </Button>
            <p class="soft small">{t('paper.print_hint', { size: t(`paper.${paper}`) })}</p>
          </>
        )}
      </Card>
      {mayRecord(facts) && rows.length > 0 && (
        <Card title={t('paper.key_in')} icon="edit">
          <p class="soft">{t('paper.key_in_text')}</p>
          <ButtonLink wide to={address}>
            {t('paper.key_in')}: {t(`paper.${kind}`)}
          </ButtonLink>
        </Card>
      )}
      {rows.length === 0 ? (
        <EmptyState
          title={t('paper.none_title')}
          action={<ButtonLink to="/plot">{t('paper.to_plot')}</ButtonLink>}
        >
          {t(`paper.none_${kind}`)}
        </EmptyState>
      ) : (
        <Pages
          {...{ facts, ground, kind, paper, rows, address }}
          day={open ? '' : dayWords(chosen, `${Number(chosen.slice(0, 4)) - 1}`)}
        />
      )}
    </div>
  );
}

type PagesProps = {
  facts: PlotFacts;
  ground: SheetGround;
  kind: SheetKind;
  paper: Paper;
  rows: readonly SheetRow[];
  address: string;
  day: string;
};

function Pages({ facts, ground, kind, paper, rows, address, day }: PagesProps) {
  const pages = pagesOf(rows, paper);
  const today = localDay(new Date(), facts.time_zone);
  const set = kind === 'trap' ? setDays(ground, new Date(), facts.time_zone) : new Map<string, string>();
  const head = {
    kind,
    paper,
    plot: facts.plot?.body.name ?? '',
    day,
    unit: t(`forms.unit_${facts.unit}`),
    code: squareCode(new URL(address, location.origin).href),
    set_on: new Map([...set].map(([id, on]) => [id, dayWords(on, today)])),
    caught: caughtOn(rows),
  };
  return (
    <section class="stack-tight" aria-labelledby="paper-preview">
      <div class="paper-about">
        <h2 id="paper-preview">{t('paper.preview')}</h2>
        <p class="soft small">{t('paper.pages', { n: pages.length, rows: rows.length })}</p>
      </div>
      <div class={`leaves leaves-${paper}`}>
        {pages.map((page, i) => (
          <Leaf key={page[0]?.id ?? i} head={head} rows={page} page={i + 1} pages={pages.length} />
        ))}
      </div>
    </section>
  );
}

/** A code that says 127.0.0.1 leads a phone to itself. */
function canBeReached(host: string): boolean {
  return host !== 'localhost' && host !== '[::1]' && !host.startsWith('127.');
}
