/** A number with its interval, drawn against the usual: decoration beside the same in words and figures. */
type RangeBarProps = {
  value: number;
  low: number;
  /** Null: open upwards; drawn to the end with an arrow. */
  high: number | null;
  usual?: { low: number; high: number } | undefined;
};

const WIDTH = 300;
const HEIGHT = 24;

/** The end of the scale: room for what matters, not for the far end of a wide interval. */
export function scaleEnd({ value, low, high, usual }: RangeBarProps): number {
  const near = Math.max(value * 2.5, low * 1.5, (usual?.high ?? 0) * 1.6, 1);
  return high === null
    ? near
    : Math.min(Math.max(near, 1), Math.max(high * 1.1, (usual?.high ?? 0) * 1.6, 1));
}

export function RangeBar(props: RangeBarProps) {
  const end = scaleEnd(props);
  const at = (number: number): number => Math.min(1, number / end) * (WIDTH - 12) + 4;
  const beyond = props.high === null || props.high > end;
  const right = beyond ? WIDTH - 6 : at(props.high ?? end);
  return (
    <svg class="range-bar" viewBox={`0 0 ${WIDTH} ${HEIGHT}`} aria-hidden="true" focusable="false">
      <path class="range-ground" d={`M4 12H${WIDTH - 4}`} />
      {props.usual && (
        <rect
          class="range-usual"
          x={at(props.usual.low)}
          y="2"
          width={Math.max(4, at(props.usual.high) - at(props.usual.low))}
          height={HEIGHT - 4}
          rx="3"
        />
      )}
      <path class="range-span" d={`M${at(props.low)} 12H${right}`} />
      {beyond && <path class="range-span" d={`M${right - 6} 7l6 5l-6 5`} />}
      <circle class="range-value" cx={at(props.value)} cy="12" r="6" />
    </svg>
  );
}
