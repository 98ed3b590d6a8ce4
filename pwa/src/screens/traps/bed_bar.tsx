import { measure, t } from '../../text';
import type { Limits, TrapEvidence } from './evidence';

/** The catch a trap with its interval, on one scale for all beds; the same stands in words below it. */
const [WIDTH, HEIGHT, LEFT, RIGHT] = [300, 40, 6, 290];

export function BedBar({ traps, limits, end }: { traps: TrapEvidence; limits: Limits; end: number }) {
  const at = (value: number) => LEFT + Math.min(1, value / end) * (RIGHT - LEFT);
  const beyond = traps.high > end;
  return (
    <svg class="bed-bar" viewBox={`0 0 ${WIDTH} ${HEIGHT}`} aria-hidden="true" focusable="false">
      <rect class="bed-bar-soil" x={LEFT} y="6" width={at(limits.plant_per_trap) - LEFT} height="14" rx="2" />
      <path class="range-ground" d={`M${LEFT} 13H${RIGHT}`} />
      {[limits.plant_per_trap, limits.do_not_per_trap].map((mark) => (
        <g key={mark}>
          <path class="bed-bar-mark" d={`M${at(mark)} 4v18`} />
          <text class="bed-bar-label" x={at(mark)} y="36" text-anchor="middle">
            {measure(mark)}
          </text>
        </g>
      ))}
      <text class="bed-bar-label" x={RIGHT} y="36" text-anchor="end">
        {t('traps.bar_unit')}
      </text>
      <path class="range-span" d={`M${at(traps.low)} 13H${at(traps.high)}`} />
      {beyond && <path class="range-span" d={`M${RIGHT - 6} 8l6 5l-6 5`} />}
      <circle class="range-value" cx={at(traps.per_trap)} cy="13" r="6" />
    </svg>
  );
}
