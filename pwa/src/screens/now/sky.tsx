import { type SunTimes, sunInSky } from '../../domain/daylight';
import { t, timeWords } from '../../text';

const WIDTH = 360;
const HEIGHT = 136;
const HORIZON = 116;
const HIGHEST = 24; // the sun stays under the words, which stand in the upper part
const LOWEST = 34;

/** The sky over the plot at this hour, with a board lifted on the soil: decoration beside the words. */
export function Sky({ now, sun }: { now: number; sun: SunTimes | undefined }) {
  const place =
    sun && sun.rise !== null && sun.set !== null
      ? sunInSky(now, sun.rise, sun.set)
      : { across: 0.72, up: 0.06 };
  const x = 24 + place.across * (WIDTH - 48);
  const y = HORIZON - place.up * (place.up > 0 ? HIGHEST : LOWEST);
  return (
    <svg
      class="sky-drawing"
      viewBox={`0 0 ${WIDTH} ${HEIGHT}`}
      preserveAspectRatio="xMidYMax slice"
      aria-hidden="true"
      focusable="false"
    >
      <defs>
        <radialGradient id="sky-glow" gradientUnits="userSpaceOnUse" cx={x} cy={y} r="150">
          <stop class="sky-glow-in" offset="0" />
          <stop class="sky-glow-out" offset="1" />
        </radialGradient>
        <clipPath id="sky-above">
          <path d={`M0 0H${WIDTH}V${HORIZON}H0z`} />
        </clipPath>
      </defs>
      <g clip-path="url(#sky-above)">
        <path d={`M0 0H${WIDTH}V${HORIZON}H0z`} fill="url(#sky-glow)" />
        <circle class="sky-sun" cx={x} cy={y} r="10" />
      </g>
      <path class="sky-soil" d={`M0 ${HORIZON}H${WIDTH}V${HEIGHT}H0z`} />
      <path class="sky-edge" d={`M0 ${HORIZON}H${WIDTH}`} />
      <path class="sky-board" d="M258 116L338 94L341 103L261 125z" />
    </svg>
  );
}

/** "Sun up at 07:43, in 25 minutes": what decides when to go out. */
export function sunWords(now: number, sun: SunTimes | undefined, timeZone: string): string {
  if (!sun || sun.rise === null || sun.set === null) return '';
  const at = (moment: number): string => timeWords(new Date(moment), timeZone);
  if (now < sun.rise) return t('now.sun_up_in', { time: at(sun.rise), wait: waitWords(sun.rise - now) });
  if (now < sun.set) return t('now.sun_down_in', { time: at(sun.set), wait: waitWords(sun.set - now) });
  return t('now.sun_is_down', { time: at(sun.set) });
}

function waitWords(ms: number): string {
  const minutes = Math.max(1, Math.round(ms / 60_000));
  return minutes < 90
    ? t('now.wait_minutes', { n: minutes })
    : t('now.wait_hours', { n: Math.round(minutes / 60) });
}
