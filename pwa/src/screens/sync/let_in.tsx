import type { ComponentChildren } from 'preact';
import { useEffect, useRef, useState } from 'preact/hooks';
import type { CodeAnswer } from '../../generated/api';
import { Button, Notice, Sheet } from '../../parts';
import { devices } from '../../sync';
import { askCode, type Role } from '../../sync/let_in';
import { Refused } from '../../sync/server';
import { t } from '../../text';
import { localClock } from '../forms/local_time';
import type { PlotFacts } from '../forms/plot_facts';
import type { SquareCode } from '../paper/square_code';
import { addressOf, minutesLeft, newcomer, onlyHere } from './let_in_model';
import { problemWords } from './problem_words';

// Helpers are who is mostly let in, so they come first.
const ROLES = ['helper', 'owner', 'reader'] as const;
const LOOK_MS = 1_000;
/** Who waits beside the other phone wants to see it come in. */
const ASK_MS = 4_000;

type Made = {
  answer: CodeAnswer;
  role: Role;
  ends: number;
  before: ReadonlySet<string>;
  square: Square | undefined;
};
type Square = { code: SquareCode; margin: number };

/** An owner's button, and the sheet with a code that lets one more phone in. */
export function LetIn({ facts, onDone }: { facts: PlotFacts; onDone: () => Promise<void> }) {
  const [open, setOpen] = useState(false);
  const close = () => {
    setOpen(false);
    void onDone();
  };
  return (
    <>
      <Button wide onClick={() => setOpen(true)}>
        {t('let_in.open')}
      </Button>
      <p class="soft small">{t('let_in.open_hint')}</p>
      {open && (
        <Sheet title={t('let_in.open')} onClose={close}>
          <Steps facts={facts} />
        </Sheet>
      )}
    </>
  );
}

function Steps({ facts }: { facts: PlotFacts }) {
  const [role, setRole] = useState<Role>('helper');
  const [made, setMade] = useState<Made | undefined>(undefined);
  const [busy, setBusy] = useState(false);
  const [fault, setFault] = useState('');
  const make = async () => {
    setBusy(true);
    setFault('');
    try {
      const before = new Set((await devices()).map(({ id }) => id));
      const answer = await askCode(role);
      // By this phone's own clock from now on: it may go otherwise than the server's.
      const ends = Date.now() + answer.seconds * 1_000;
      setMade({ answer, role, before, ends, square: await squareOf(answer.url) });
    } catch (error) {
      setFault(error instanceof Refused ? problemWords(error.problem) : t('let_in.unreached'));
    }
    setBusy(false);
  };
  const wrong = fault && (
    <Notice live tone="bad">
      {fault}
    </Notice>
  );
  const ask = (words: string) => (
    <Button kind="main" wide disabled={busy} onClick={() => void make()}>
      {busy ? t('let_in.making') : words}
    </Button>
  );
  if (made)
    return (
      <Code key={made.answer.code} made={made} facts={facts}>
        {wrong}
        {ask(t('let_in.again'))}
      </Code>
    );
  return (
    <>
      <Roles chosen={role} onChoose={setRole} />
      {wrong}
      {ask(t('let_in.make'))}
      <p class="soft small">{t('let_in.needs_server')}</p>
    </>
  );
}

function Roles({ chosen, onChoose }: { chosen: Role; onChoose: (role: Role) => void }) {
  return (
    <fieldset class="let-in-roles">
      <legend>{t('let_in.role')}</legend>
      {ROLES.map((role) => (
        <label key={role} class="let-in-role">
          <input type="radio" name="let-in-role" checked={role === chosen} onChange={() => onChoose(role)} />
          <span>
            <strong>{t(`let_in.role_${role}`)}</strong>
            <span class="soft small">{t(`let_in.role_${role}_text`)}</span>
          </span>
        </label>
      ))}
    </fieldset>
  );
}

/** What has become of a code: how long it is still good, and who has come in by it. */
function useStanding({ ends, before }: Made): { left: number; came: string | undefined } {
  const [left, setLeft] = useState(() => minutesLeft(ends, Date.now()));
  const [came, setCame] = useState<string | undefined>(undefined);
  const over = came !== undefined || left === 0;
  useEffect(() => {
    if (over) return;
    const look = setInterval(() => setLeft(minutesLeft(ends, Date.now())), LOOK_MS);
    const ask = setInterval(() => {
      void devices().then(
        (now) => setCame(newcomer(before, now)?.name),
        () => undefined, // out of reach for a moment; the code is good all the same
      );
    }, ASK_MS);
    return () => {
      clearInterval(look);
      clearInterval(ask);
    };
  }, [over]);
  return { left, came };
}

type CodeProps = { made: Made; facts: PlotFacts; children: ComponentChildren };

/** `children`: how to get another one, once this one has run out. */
function Code({ made, facts, children }: CodeProps) {
  const { left, came } = useStanding(made);
  const { answer, role } = made;
  const first = useRef<HTMLParagraphElement>(null);
  // The button that was pressed is gone: who listens goes on here.
  useEffect(() => first.current?.focus({ preventScroll: true }), []);
  if (came !== undefined)
    return (
      <Notice live tone="good">
        {t('let_in.came', { name: came })}
      </Notice>
    );
  if (left === 0)
    return (
      <>
        <Notice live>{t('let_in.run_out')}</Notice>
        {children}
      </>
    );
  const time = localClock(answer.expires_at, facts.time_zone);
  return (
    <>
      <p ref={first} tabIndex={-1}>
        {t(`let_in.as_${role}`)}
      </p>
      {onlyHere(answer.url) && <Notice tone="bad">{t('let_in.only_here')}</Notice>}
      <div class="stack-tight">
        <p class="soft small">{t('let_in.address')}</p>
        <p>
          <strong class="breaks let-in-address">{addressOf(answer.url)}</strong>
        </p>
        <p class="soft small">{t('let_in.code')}</p>
        <p class="let-in-code">
          {answer.code.split('-').map((part) => (
            <span key={part}>{part}</span>
          ))}
        </p>
        <p class="soft small">{t('let_in.left', { time, n: left })}</p>
      </div>
      {made.square && (
        <>
          <p class="soft small">{t('let_in.or_scan')}</p>
          <Picture square={made.square} label={t('let_in.square', { code: answer.code })} />
        </>
      )}
      {answer.trust_url && (
        <p class="small">
          {t('let_in.trust')} <strong class="breaks">{answer.trust_url}</strong>
        </p>
      )}
      <p class="soft small">{t('let_in.home_screen')}</p>
    </>
  );
}

/** What draws squares is fetched by whoever wants one. Without it the code can be typed. */
async function squareOf(url: string): Promise<Square | undefined> {
  try {
    const { MARGIN, squareCode } = await import('../paper/square_code');
    return { code: squareCode(url), margin: MARGIN };
  } catch {
    return undefined;
  }
}

function Picture({ square: { code, margin }, label }: { square: Square; label: string }) {
  const side = code.size + 2 * margin;
  return (
    <svg
      class="let-in-square"
      viewBox={`${-margin} ${-margin} ${side} ${side}`}
      role="img"
      aria-label={label}
      shape-rendering="crispEdges"
    >
      <path d={code.path} />
    </svg>
  );
}
