/** Our own line drawings, 24 units square, drawn with the colour of the text around them. */
const DRAWINGS = {
  now: 'M3 17h18M6 17a6 6 0 0 1 12 0M12 4v3M4.5 8.5l2 2M19.5 8.5l-2 2M5 20.5h14',
  plot: 'M3 5h8v6H3zM14 5h7v6h-7zM3 14h5v6H3zM11 14h10v6H11z',
  diary: 'M6 3h12v18H6zM6 7H4M6 12H4M6 17H4M10 8h5M10 12h5M10 16h3',
  findings: 'M4 20V4M4 20h17M8 16l4-5 3 2 5-7',
  desk: 'M3 5h18v14H3zM9 5v14M15 5v14',
  sync: 'M7 8h11l-3-3M17 16H6l3 3',
  back: 'M15 5l-7 7 7 7',
  next: 'M9 5l7 7-7 7',
  undo: 'M8 5L4 9l4 4M4 9h10a5 5 0 0 1 0 10h-3',
  plus: 'M12 4v16M4 12h16',
  minus: 'M4 12h16',
  camera: 'M4 8h4l1.5-2.5h5L16 8h4v11H4zM12 10.5a3 3 0 1 0 .01 0z',
  eggs: 'M8.5 10a2.8 3.4 0 1 0 .01 0zM15.5 10a2.8 3.4 0 1 0 .01 0zM12 4a2.6 3.2 0 1 0 .01 0z',
  none: 'M12 4a8 8 0 1 0 .01 0zM6.5 17.5l11-11',
  blocked: 'M4 9h16v6H4zM7 9l3 6M12 9l3 6M17 9l2 4',
  tick: 'M5 13l4 4L19 7',
  close: 'M6 6l12 12M18 6L6 18',
  caution: 'M12 4l9 16H3zM12 10v5M12 17.5v.5',
  people:
    'M9 6a3 3 0 1 0 .01 0zM3.5 19a5.5 5.5 0 0 1 11 0M16.5 8a2.4 2.4 0 1 0 .01 0zM16 13.6a4.6 4.6 0 0 1 4.6 5',
  plank: 'M3 8h18v5H3zM6 10.5v.01M18 10.5v.01M5 16.5h14',
  trap: 'M5 8h14l-2 12H7zM5 8a7 3 0 0 1 14 0M10 12v4M14 12v4',
  thermometer: 'M10 4a2 2 0 0 1 4 0v9.5a4 4 0 1 1-4 0zM12 9v8',
  moon: 'M19 14.5A8 8 0 0 1 9.5 5a8 8 0 1 0 9.5 9.5z',
  frost:
    'M12 2.5v19M4 7l16 10M20 7L4 17M9.500 4.500L12 7l2.500-2.500M9.500 19.500L12 17l2.500 2.500M3.800 10.300L7 9.400l-.8-3.200M17.800 17.800L17 14.600l3.200-.9M20.200 10.300L17 9.400l.8-3.200M6.200 17.800l.8-3.200-3.200-.9',
  sun: 'M12 8a4 4 0 1 0 .01 0zM12 2.5v2M12 19.5v2M2.5 12h2M19.5 12h2M5.3 5.3l1.4 1.4M17.3 17.3l1.4 1.4M5.3 18.7l1.4-1.4M17.3 6.7l1.4-1.4',
  hand: 'M8 20c-2-3-4-5-4-6.5 0-1.3 1.6-1.6 2.6-.4L8 14.5V6a1.4 1.4 0 0 1 2.8 0v5-6.5a1.4 1.4 0 0 1 2.8 0V11 6a1.4 1.4 0 0 1 2.8 0v6-3.500a1.4 1.4 0 0 1 2.800 0V14c0 3-1.500 6-4 6z',
  turn_left: 'M5 13a7.5 7.5 0 1 0 3-6.500M8.500 2v5h5',
  turn_right: 'M19 13a7.5 7.5 0 1 1-3-6.500M15.500 2v5h-5',
  edit: 'M4 20l1-4L16 5l3 3L8 19zM14 7l3 3',
  more: 'M6 12v.01M12 12v.01M18 12v.01',
} as const;

export type IconName = keyof typeof DRAWINGS;

/** Decoration only: whatever holds an icon also says it in words. */
export function Icon({ name }: { name: IconName }) {
  return (
    <svg class="icon" viewBox="0 0 24 24" aria-hidden="true" focusable="false">
      <path d={DRAWINGS[name]} />
    </svg>
  );
}
