import { decimalPoint, t } from '../text';
import { Icon } from './icons';

type NumberPadProps = {
  label: string;
  /** The figures as typed: "", "-", "-3.5". Text, so that "3." and "-0" survive on the way to a number. */
  value: string;
  onType: (value: string) => void;
  unit?: string;
  signed?: boolean;
  decimal?: boolean;
  maxLength?: number;
};

const DIGITS = ['1', '2', '3', '4', '5', '6', '7', '8', '9'] as const;

/** What one key does to the figures typed so far. */
export function typeKey(value: string, key: string, maxLength = 6): string {
  if (key === 'delete') return value.slice(0, -1);
  if (key === 'sign') return value.startsWith('-') ? value.slice(1) : `-${value}`;
  if (key === '.')
    return value.includes('.') ? value : `${value === '' || value === '-' ? `${value}0` : value}.`;
  if (value.replace('-', '').length >= maxLength) return value;
  if (value === '0') return key;
  return value === '-0' ? `-${key}` : value + key;
}

/** The number typed, or undefined while there is none. */
export function typedNumber(value: string): number | undefined {
  if (!/^-?\d+(\.\d*)?$/.test(value)) return undefined;
  return Number(value);
}

/** A number pad of our own: keys for a glove, a sign key, no keyboard sliding over the screen. */
export function NumberPad({ label, value, onType, unit, signed, decimal, maxLength = 6 }: NumberPadProps) {
  const press = (key: string) => () => onType(typeKey(value, key, maxLength));
  const onKey = (event: KeyboardEvent): void => {
    const key = { Backspace: 'delete', '-': 'sign', ',': '.' }[event.key] ?? event.key;
    const known =
      /^[0-9]$/.test(key) || key === 'delete' || (key === 'sign' && signed) || (key === '.' && decimal);
    if (!known || event.ctrlKey || event.metaKey) return;
    event.preventDefault();
    onType(typeKey(value, key, maxLength));
  };
  return (
    // biome-ignore lint/a11y/useSemanticElements: a fieldset cannot be laid out as the pad's grid in every browser
    <div class="pad" role="group" aria-label={label} onKeyDown={onKey}>
      <output class="pad-shown figures" aria-label={label}>
        {value === '' ? (
          <span class="soft">–</span>
        ) : (
          value.replace('-', '\u2212').replace('.', decimalPoint())
        )}
        {unit && <span class="pad-unit">{unit}</span>}
      </output>
      <div class={signed && decimal ? 'pad-keys pad-keys-full' : 'pad-keys'}>
        {DIGITS.map((digit) => (
          <button key={digit} type="button" class="pad-key" onClick={press(digit)}>
            {digit}
          </button>
        ))}
        <SideKey
          shown={signed}
          label={t('parts.minus_sign')}
          press={press('sign')}
          face="+/−"
          spare={
            !signed && decimal
              ? { label: t('parts.decimal_point'), press: press('.'), face: decimalPoint() }
              : undefined
          }
        />
        <button type="button" class="pad-key" onClick={press('0')}>
          0
        </button>
        {signed && decimal && (
          <button
            type="button"
            class="pad-key pad-key-side"
            aria-label={t('parts.decimal_point')}
            onClick={press('.')}
          >
            {decimalPoint()}
          </button>
        )}
        <button
          type="button"
          class="pad-key pad-key-side"
          aria-label={t('parts.delete_digit')}
          onClick={press('delete')}
        >
          <Icon name="back" />
        </button>
      </div>
    </div>
  );
}

type Key = { label: string; press: () => void; face: string };

function SideKey({ shown, spare, ...key }: Key & { shown: boolean | undefined; spare: Key | undefined }) {
  const used = shown ? key : spare;
  if (!used) return <span />;
  return (
    <button type="button" class="pad-key pad-key-side" aria-label={used.label} onClick={used.press}>
      {used.face}
    </button>
  );
}
