/**
 * The keyboard of a laptop. It presses the very buttons of the screen (those that carry `data-key`), so that no key
 * can do what no button does. Fetched with the first key that is pressed.
 */
import { useEffect, useRef, useState } from 'preact/hooks';
import { navigate, Sheet, Toggle } from '../parts';
import { type TextKey, t } from '../text';
import { type Figures, GO, GO_KEY, isTyped, PATIENCE_MS, rung, withFigure } from './keys';

/** Single keys can be switched off (WCAG 2.2, 2.1.4): speech input and shaky hands press them by mistake. */
const STORED = 'underboard.keys';
const areOn = (): boolean => localStorage.getItem(STORED) !== 'off';

/** What the round listens for: a number typed by figures. */
const COUNT_EVENT = 'underboard-count';

export function Keyboard({ first }: { first: KeyboardEvent }) {
  const [open, setOpen] = useState(false);
  const figures = useRef<Figures | undefined>(undefined);
  const going = useRef(0);
  const onKey = (event: KeyboardEvent): void => {
    // A press on the button that names the keys comes as an event of ours, whatever is switched off.
    if (event.key === '?' && (!event.isTrusted || (areOn() && isOurs(event)))) {
      setOpen(true);
      return;
    }
    if (!areOn() || !isOurs(event)) return;
    const at = Date.now();
    if (at - going.current < PATIENCE_MS && event.key in GO) {
      going.current = 0;
      event.preventDefault();
      navigate(GO[event.key] ?? '/');
      return;
    }
    going.current = event.key === GO_KEY ? at : 0;
    if (walk(event) || press(event)) event.preventDefault();
    else figures.current = typed(event, figures.current, at) ?? figures.current;
  };
  useEffect(() => {
    onKey(first);
    addEventListener('keydown', onKey);
    return () => removeEventListener('keydown', onKey);
  }, []);
  return open ? <KeysSheet onClose={() => setOpen(false)} /> : null;
}

function isOurs(event: KeyboardEvent): boolean {
  if (event.defaultPrevented || event.ctrlKey || event.metaKey || event.altKey) return false;
  if (document.querySelector('dialog[open]')) return false;
  return !(event.target instanceof HTMLElement && isTyped(event.target as HTMLInputElement, event.key));
}

/** Arrows walk the ladder of a round: the board opens and has the focus. */
function walk(event: KeyboardEvent): boolean {
  const rungs = [...document.querySelectorAll<HTMLElement>('.ladder button')];
  const at = rungs.findIndex((one) => one.getAttribute('aria-current'));
  const to = rungs[rung(at, event.key, rungs.length) ?? -1];
  if (!to) return false;
  to.click();
  to.focus({ preventScroll: true });
  return true;
}

function press(event: KeyboardEvent): boolean {
  const button = keyed().find((one) => one.dataset.key === event.key && !isDisabled(one));
  button?.click();
  return button !== undefined;
}

/** Buttons of the screen that have a key. */
function keyed(): HTMLElement[] {
  return [...document.querySelectorAll<HTMLElement>('[data-key]')].filter(
    (one) => one.getClientRects().length > 0,
  );
}

function isDisabled(button: HTMLElement): boolean {
  return button.matches(':disabled');
}

function typed(event: KeyboardEvent, before: Figures | undefined, at: number): Figures | undefined {
  const board = document.querySelector('.turned')?.getAttribute('aria-label');
  if (!board || !/^\d$/.test(event.key)) return undefined;
  const now = withFigure(before, board, Number(event.key), at);
  dispatchEvent(new CustomEvent(COUNT_EVENT, { detail: now.count }));
  event.preventDefault();
  return now;
}

/** What stands on a key that has a name of its own. */
const FACES: Readonly<Record<string, string>> = { ArrowRight: '→', '-': '−' };

/** Every key that does something here, read off the screen itself. */
function KeysSheet({ onClose }: { onClose: () => void }) {
  const [on, setOn] = useState(areOn());
  const [here] = useState(() => keyed().map((one) => [faceOf(one.dataset.key ?? ''), wordsOf(one)] as const));
  const [inRound] = useState(() => document.querySelector('.ladder') !== null);
  return (
    <Sheet title={t('keys.title')} onClose={onClose}>
      {inRound && (
        <KeyList
          title={t('round.title')}
          rows={[
            ['↑ ↓', t('keys.ladder')],
            ['0–9', t('keys.figures')],
          ]}
        />
      )}
      {here.length > 0 && <KeyList title={t('keys.here')} rows={here} />}
      <KeyList
        title={t('keys.everywhere')}
        rows={[
          ...Object.keys(GO).map((key) => [`${GO_KEY} ${key}`, t(`keys.go_${key}` as TextKey)] as const),
          ['Tab', t('keys.tab')],
          ['Esc', t('keys.escape')],
          ['?', t('keys.this')],
        ]}
      />
      <Toggle
        label={t('keys.single')}
        hint={t('keys.single_hint')}
        on={on}
        onChange={(next) => {
          localStorage.setItem(STORED, next ? 'on' : 'off');
          setOn(next);
        }}
      />
    </Sheet>
  );
}

function faceOf(key: string): string {
  return FACES[key] ?? key;
}

function wordsOf(button: HTMLElement): string {
  const heard = button.getAttribute('aria-label') ?? button.querySelector('.only-heard')?.textContent;
  return heard ?? button.textContent ?? '';
}

function KeyList({ title, rows }: { title: string; rows: readonly (readonly [string, string])[] }) {
  return (
    <section class="stack-tight">
      <h3>{title}</h3>
      <dl class="key-list">
        {rows.map(([key, words]) => (
          <div key={key}>
            <dt>
              {key.split(' ').map((one) => (
                <kbd key={one}>{one}</kbd>
              ))}
            </dt>
            <dd>{words}</dd>
          </div>
        ))}
      </dl>
    </section>
  );
}
