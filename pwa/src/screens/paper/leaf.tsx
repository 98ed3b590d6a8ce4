import { t } from '../../text';
import { type caughtOn, isRoomy, type Paper, type SheetKind, type SheetRow } from './model';
import { MARGIN, type SquareCode } from './square_code';

/** What all pages of a sheet say at their head. */
export interface LeafHead {
  kind: SheetKind;
  paper: Paper;
  plot: string;
  /** In words; empty where the day is left open. */
  day: string;
  unit: string;
  code: SquareCode;
  /** Each trap: since when it lies in the ground, in words. */
  set_on: ReadonlyMap<string, string>;
  /** What the traps of the whole sheet catch; it decides what their numbers are called. */
  caught: ReturnType<typeof caughtOn>;
}

type Column = { name: string; box: 'number' | 'tick' | 'words' };

/** Left to right as they are written; the first four of a round are the four states, each with its own box. */
const COLUMNS: Record<SheetKind, readonly Column[]> = {
  dawn: [
    { name: 'count', box: 'number' },
    { name: 'none', box: 'tick' },
    { name: 'not_turned', box: 'tick' },
    { name: 'spoiled', box: 'tick' },
    { name: 'eggs', box: 'number' },
    { name: 'note', box: 'words' },
  ],
  trap: [
    { name: 'set_on', box: 'words' },
    { name: 'wireworms', box: 'number' },
    { name: 'none', box: 'tick' },
    { name: 'not_lifted', box: 'tick' },
    { name: 'spoiled', box: 'tick' },
    { name: 'millipedes', box: 'number' },
    { name: 'leatherjackets', box: 'number' },
    { name: 'centipedes', box: 'number' },
    { name: 'rebaited', box: 'tick' },
    { name: 'soil', box: 'number' },
  ],
  readings: [
    { name: 'now', box: 'number' },
    { name: 'highest', box: 'number' },
    { name: 'lowest', box: 'number' },
    { name: 'reset', box: 'tick' },
    { name: 'note', box: 'words' },
  ],
};

type LeafProps = { head: LeafHead; rows: readonly SheetRow[]; page: number; pages: number };

/** One page. All its measures are millimetres of paper (style.css), on the screen drawn smaller. */
export function Leaf({ head, rows, page, pages }: LeafProps) {
  const { kind } = head;
  const last = page === pages;
  const roomy = isRoomy(rows, head.paper) ? ' leaf-roomy' : '';
  return (
    <section
      class={`leaf leaf-${head.paper} leaf-${kind}${roomy}`}
      aria-label={t('paper.page', { page, pages })}
    >
      <header class="leaf-head">
        <div class="leaf-title">
          <h2>{t(`paper.${kind}`)}</h2>
          <p class="leaf-plot">{head.plot}</p>
          <HeadLines head={head} />
        </div>
        <Corner code={head.code} />
      </header>
      <table class="leaf-table">
        <thead>
          <tr>
            <th scope="col" class="leaf-name">
              {t(`paper.station_${kind}`)}
            </th>
            {COLUMNS[kind].map(({ name, box }) => (
              <th key={name} scope="col" class={`leaf-${box}`}>
                {t(`paper.col_${name === 'wireworms' ? head.caught : name}` as 'paper.col_count', {
                  unit: head.unit,
                })}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {rows.map((row) => (
            <tr key={row.id}>
              <th scope="row" class="leaf-name">
                <span>{row.label}</span>{' '}
                <small>
                  {row.beetles && head.caught === 'both'
                    ? t('paper.beetles_of', { place: row.place })
                    : row.place}
                </small>
              </th>
              {COLUMNS[kind].map(({ name, box }) => (
                <td key={name} class={`leaf-${box}`}>
                  {box === 'words' ? (
                    name === 'set_on' && <small>{head.set_on.get(row.id)}</small>
                  ) : (
                    <span class="leaf-box" />
                  )}
                </td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
      <footer class="leaf-foot">
        <p class="grow">
          {howWords(head)} {t('paper.caution')}
        </p>
        {kind !== 'readings' && (
          <p class="leaf-sum">
            {last ? sumWords(head) : t('paper.goes_on')}
            {last && <span class="leaf-box" />}
          </p>
        )}
        <p class="leaf-page">{t('paper.page', { page, pages })}</p>
      </footer>
    </section>
  );
}

function sumWords({ kind, caught }: LeafHead): string {
  return kind === 'trap' ? t(`paper.sum_${caught}`) : t('paper.sum_dawn');
}

function howWords({ kind, caught }: LeafHead): string {
  return kind === 'trap' && caught !== 'wireworms' ? t(`paper.how_${caught}`) : t(`paper.how_${kind}`);
}

function HeadLines({ head }: { head: LeafHead }) {
  const { kind } = head;
  return (
    <ul class="leaf-lines">
      <li>
        {t('paper.head_day')} {head.day ? <strong>{head.day}</strong> : <Line />}
      </li>
      <li>
        {t('paper.head_time')} <Line short />
      </li>
      <li class="leaf-wide">
        {t('paper.head_observer')} <Line />
      </li>
      {kind === 'dawn' && (
        <>
          <li class="leaf-wide">
            {t('paper.head_surface')}
            {(['dry', 'damp', 'wet'] as const).map((surface) => (
              <span key={surface} class="leaf-choice">
                <span class="leaf-box" /> {t(`paper.${surface}`)}
              </span>
            ))}
          </li>
          <li>
            {t('paper.head_low', { unit: head.unit })} <Line short />
          </li>
          <li>
            <span class="leaf-choice">
              <span class="leaf-box" /> {t('paper.head_disturbed')}
            </span>
          </li>
        </>
      )}
    </ul>
  );
}

function Line({ short }: { short?: boolean }) {
  return <span class={short ? 'leaf-line leaf-line-short' : 'leaf-line'} />;
}

function Corner({ code }: { code: SquareCode }) {
  const wide = code.size + 2 * MARGIN;
  return (
    <figure class="leaf-corner">
      <svg
        viewBox={`${-MARGIN} ${-MARGIN} ${wide} ${wide}`}
        role="img"
        aria-label={t('paper.code')}
        data-version={code.version}
        data-mask={code.mask}
        shape-rendering="crispEdges"
      >
        <path d={code.path} />
      </svg>
      <figcaption>{t('paper.code_how')}</figcaption>
    </figure>
  );
}
