/** Keys of a laptop's keyboard. */
export const keys = {
  title: 'Keys',
  here: 'On this screen',
  everywhere: 'Everywhere',
  ladder: 'The board before, the board after',
  figures: 'The number of slugs; figures in a row are one number',
  go_n: 'Go to Now',
  go_p: 'Go to Plot',
  go_d: 'Go to Diary',
  go_f: 'Go to Findings',
  go_s: 'Go to Sync',
  go_a: 'All three side by side',
  tab: 'On to the next thing to press',
  escape: 'Close what lies open',
  this: 'This list',
  single: 'Single keys',
  single_hint: 'Off: only Tab, Enter, arrows and Esc do something, as everywhere.',
} as const;
