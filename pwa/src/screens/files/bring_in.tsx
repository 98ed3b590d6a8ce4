import { useEffect, useRef, useState } from 'preact/hooks';
import { Button, Card, Notice } from '../../parts';
import { syncNow } from '../../sync';
import {
  lookAt,
  type Plan,
  type Preview,
  type Standing,
  standing,
  type Taken,
  type Trouble,
  takeIn,
  troubleOf,
  type Undone,
  undo,
} from '../../sync/plot_files';
import { t } from '../../text';
import { dayWords, localClock, localDay } from '../forms/local_time';
import type { PlotFacts } from '../forms/plot_facts';
import { Look, Refusals } from './look';
import { countedWords } from './model';
import { TroubleNotice } from './take_out';
import { TakenBack } from './taken_back';

type Props = { plotId: string; facts: PlotFacts };

/** A notebook or logger file: looked at, corrected, taken in, taken back. */
export function BringIn({ plotId, facts }: Props) {
  const input = useRef<HTMLInputElement>(null);
  const [file, setFile] = useState<File | undefined>(undefined);
  const [plan, setPlan] = useState<Plan>({});
  const [look, setLook] = useState<Preview | undefined>(undefined);
  const [taken, setTaken] = useState<Taken | undefined>(undefined);
  const [trouble, setTrouble] = useState<Trouble | undefined>(undefined);
  const [busy, setBusy] = useState(false);
  const [turn, setTurn] = useState(0);

  // Of two questions the answer to the older one may come last: only the newest counts.
  const asked = useRef(0);
  const during = async (work: (isNewest: () => boolean) => Promise<void>): Promise<void> => {
    asked.current += 1;
    const mine = asked.current;
    const isNewest = (): boolean => asked.current === mine;
    setBusy(true);
    setTrouble(undefined);
    await work(isNewest).catch((error: unknown) => isNewest() && setTrouble(troubleOf(error)));
    if (isNewest()) setBusy(false);
  };
  const show = (from: File, wanted: Plan) =>
    during(async (isNewest) => {
      setPlan(wanted);
      const found = await lookAt(plotId, from, wanted);
      if (isNewest()) setLook(found);
    });
  const chosen = (files: FileList | null): void => {
    const found = files?.[0];
    if (!found) return;
    setFile(found);
    setLook(undefined);
    setTaken(undefined);
    void show(found, {});
    if (input.current) input.current.value = '';
  };
  const take = (from: File) =>
    during(async () => {
      setTaken(await takeIn(plotId, from, plan));
      setLook(undefined);
      setTurn(turn + 1);
      void syncNow(); // the records come to this phone as they come to any other
    });
  return (
    <>
      <Card title={t('files.bring')}>
        <p class="soft">{t('files.bring_why')}</p>
        <input
          ref={input}
          class="only-heard"
          type="file"
          accept=".csv,.tsv,.txt,.xlsx,text/csv"
          tabIndex={-1}
          aria-label={t('files.choose')}
          onChange={(event) => chosen(event.currentTarget.files)}
        />
        <Button disabled={busy} onClick={() => input.current?.click()}>
          {busy ? t('files.reading') : t('files.choose')}
        </Button>
        <TroubleNotice trouble={trouble} />
        {file && look && (
          <Look
            look={look}
            plan={plan}
            busy={busy}
            onPlan={(next) => void show(file, next)}
            onTake={() => void take(file)}
            onLeave={() => setLook(undefined)}
          />
        )}
        {taken && <Done taken={taken} />}
      </Card>
      <Brought plotId={plotId} facts={facts} turn={turn} />
    </>
  );
}

function Done({ taken }: { taken: Taken }) {
  const words = countedWords(taken.taken);
  return (
    <>
      <Notice tone={words ? 'good' : 'plain'} live>
        {words ? t('files.taken', { what: words }) : t('files.nothing_new')}
      </Notice>
      <Refusals refused={taken.refused} refusals={taken.refusals} />
    </>
  );
}

/** What was brought in so far, each with its way back. */
function Brought({ plotId, facts, turn }: Props & { turn: number }) {
  const [all, setAll] = useState<Standing[]>([]);
  const [done, setDone] = useState<Undone | 'away' | undefined>(undefined);
  const [again, setAgain] = useState(0);
  // Read anew after an import and after an undo; an older answer that comes last counts no more.
  useEffect(() => {
    let isNewest = true;
    standing(plotId).then(
      (found) => isNewest && setAll(found),
      () => undefined,
    );
    return () => {
      isNewest = false;
    };
  }, [plotId, turn, again]);
  const back = async (one: Standing): Promise<void> => {
    setDone(await undo(plotId, one.import_id).catch(() => 'away' as const));
    void syncNow();
    setAgain(again + 1);
  };
  if (all.length === 0 && !done) return null;
  return (
    <Card title={t('files.brought')}>
      {done && <TakenBack done={done} timeZone={facts.time_zone} />}
      <ul class="files-list">
        {all.map((one) => (
          <li key={one.import_id}>
            <p>
              {one.at &&
                `${dayWords(localDay(one.at, facts.time_zone))} ${localClock(one.at, facts.time_zone)}: `}
              <span lang="en">{one.words}</span>
            </p>
            <Button kind="bad" onClick={() => void back(one)}>
              {t('files.undo', { n: one.records })}
            </Button>
          </li>
        ))}
      </ul>
      <p class="soft small">{t('files.undo_why')}</p>
    </Card>
  );
}
