import { useId } from 'preact/hooks';
import { decimals, t } from '../../text';
import { type LimitFacts, limitOf } from './limit';

const WIDTH = 340;
const HEIGHT = 66;
const LEFT = 6;
const RIGHT = 6;

/** How much there may be, as a bar from nought, with the limit standing across it. */
export function LimitPicture({ numbers }: { numbers: Record<string, unknown> | undefined }) {
  const title = useId();
  const found = limitOf(numbers);
  if (!found) return null;
  const { value, low, high, limit } = found;
  const end = 1.15 * Math.max(limit * 1.2, high ?? 0, value ?? 0, low);
  const x = (n: number): number => LEFT + (Math.min(n, end) / end) * (WIDTH - LEFT - RIGHT);
  const words = sentence(found);
  const middle = x(limit) > WIDTH / 2;
  return (
    <figure class="night-figure">
      <svg class="night-sheet" viewBox={`0 0 ${WIDTH} ${HEIGHT}`} role="img" aria-labelledby={title}>
        <title id={title}>{words}</title>
        <rect class="limit-ground" x={LEFT} y="30" width={WIDTH - LEFT - RIGHT} height="16" rx="3" />
        <rect
          class="limit-span"
          x={x(low)}
          y="30"
          width={Math.max(3, x(high ?? end) - x(low))}
          height="16"
          rx="3"
        />
        {value !== undefined && <path class="limit-value" d={`M${x(value)} 26v24`} />}
        <path class="night-harm limit-line" d={`M${x(limit)} 18v40`} />
        <text
          class="night-words count-limit"
          x={x(limit) + (middle ? -6 : 6)}
          y="14"
          text-anchor={middle ? 'end' : 'start'}
        >
          {t('warnings.count_limit', { n: amount(limit) })}
        </text>
        <text class="night-words" x={LEFT} y={HEIGHT - 4}>
          0
        </text>
        <text class="night-words" x={WIDTH - RIGHT} y={HEIGHT - 4} text-anchor="end">
          {amount(end)} {found.per}
        </text>
      </svg>
      <figcaption>{words}</figcaption>
    </figure>
  );
}

function sentence({ value, low, high, limit, per }: LimitFacts): string {
  const range =
    high === undefined
      ? t('warnings.limit_from', { low: amount(low) })
      : t('warnings.to', { low: amount(low), high: amount(high) });
  const shared = { range, limit: amount(limit), per };
  return value === undefined
    ? t('warnings.limit_says_range', shared)
    : t('warnings.limit_says', { value: amount(value), ...shared });
}

function amount(n: number): string {
  return decimals(n, Math.abs(n) >= 10 ? 0 : 1);
}
