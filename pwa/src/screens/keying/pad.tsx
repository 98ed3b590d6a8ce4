import type { ComponentChildren } from 'preact';
import { Icon, IconButton } from '../../parts';
import { t } from '../../text';
import type { SheetKind } from '../paper/model';
import { type Cell, COLUMNS, type Keyed, textIn } from './model';

type Props = {
  kind: SheetKind;
  /** Name of the board, trap or thermometer under the cursor. */
  row: string;
  at: Cell;
  keyed: Keyed;
  onKey: (key: string) => boolean;
  onClose: () => void;
};

type Side = { key: string; words: string };

/** The phone's keys: the same as on a keyboard, under the thumb. */
export function KeyPad({ kind, row, at, keyed, onKey, onClose }: Props) {
  const column = COLUMNS[kind].find(({ name }) => name === at.col);
  const degrees = column?.kind === 'degrees';
  const side = sideKeys(kind, degrees);
  const figure = (n: number) => (
    <Key key={n} onPress={() => onKey(String(n))} disabled={column?.kind === 'flag'}>
      {n}
    </Key>
  );
  return (
    // biome-ignore lint/a11y/useSemanticElements: a fieldset cannot be laid out as the pad's grid in every browser
    <div class="key-pad" role="group" aria-label={t('keying.pad', { row })}>
      <div class="key-pad-head">
        <strong class="grow">{row}</strong>
        <output class="figures">{textIn(keyed, at.row, at.col).replace('-', '\u2212') || '–'}</output>
        <IconButton icon="next" label={t('keying.key_right')} onClick={() => onKey('ArrowRight')} />
        <IconButton icon="close" label={t('keying.key_done')} onClick={onClose} />
      </div>
      <div class="key-pad-keys">
        {[1, 2, 3].map(figure)}
        <SideKey side={side[0]} onKey={onKey} />
        {[4, 5, 6].map(figure)}
        <SideKey side={side[1]} onKey={onKey} />
        {[7, 8, 9].map(figure)}
        <SideKey side={side[2]} onKey={onKey} />
        <Key onPress={() => onKey('undo')} disabled={keyed.undo.length === 0} label={t('keying.key_undo')}>
          <Icon name="undo" />
        </Key>
        {figure(0)}
        <Key onPress={() => onKey('Backspace')} label={t('parts.delete_digit')}>
          <Icon name="back" />
        </Key>
        <Key main onPress={() => onKey('Enter')}>
          {t('keying.key_next')}
        </Key>
      </div>
      {kind === 'trap' && (
        <button type="button" class="button" onClick={() => onKey('y')}>
          {t('keying.key_y_trap')}
        </button>
      )}
    </div>
  );
}

/** The right-hand keys: three marks; sign, point and tick where degrees are typed. */
function sideKeys(kind: SheetKind, degrees: boolean): readonly Side[] {
  if (kind === 'readings' || degrees)
    return [
      { key: '-', words: '+/−' },
      { key: '.', words: '.' },
      kind === 'readings'
        ? { key: 'y', words: t('keying.key_y_readings') }
        : { key: 's', words: t('keying.key_s') },
    ];
  return [
    { key: 'n', words: t('keying.key_n') },
    { key: 'x', words: t(`keying.key_x_${kind}`) },
    { key: 's', words: t('keying.key_s') },
  ];
}

const LABELS: Record<string, () => string> = {
  '-': () => t('parts.minus_sign'),
  '.': () => t('parts.decimal_point'),
};

function SideKey({ side, onKey }: { side: Side | undefined; onKey: (key: string) => boolean }) {
  if (!side) return <span />;
  return (
    <Key side onPress={() => onKey(side.key)} label={LABELS[side.key]?.()}>
      {side.words}
    </Key>
  );
}

type KeyProps = {
  onPress: () => unknown;
  children: ComponentChildren;
  label?: string | undefined;
  side?: boolean;
  main?: boolean;
  disabled?: boolean;
};

function Key({ onPress, children, label, side, main, disabled }: KeyProps) {
  const look = main ? 'key-key-main' : side ? 'key-key-side' : '';
  return (
    <button
      type="button"
      class={`key-key ${look}`}
      aria-label={label}
      disabled={disabled}
      onClick={() => onPress()}
    >
      {children}
    </button>
  );
}
