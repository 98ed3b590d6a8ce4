/** Words of every picture: looking closer, its table, saving it. */
export const pictures = {
  label:
    '{title}: a picture over time. The same numbers stand in the table below. Keys: + and − look closer and wider, arrows move, 0 shows all.',
  label_rows: '{title}: a picture. The same numbers stand in the table below.',
  hint: 'Touch a day to read it. Two fingers look closer.',
  closer: 'Look closer',
  wider: 'Look wider',
  whole: 'Show all of it',
  not_drawn:
    'The picture could not be fetched. Its numbers stand below; open the app once at home to have it here.',
  table: 'The numbers',
  more_rows: 'Show more ({n} left)',
  save: 'Save this picture',
  save_png: 'Picture (PNG)',
  save_svg: 'Drawing (SVG)',
  save_csv: 'Numbers (CSV)',
  save_what:
    'Picture and drawing show the part that you look at; the numbers are all of it, with their units.',
  saved: 'Saved as {name}.',
  not_saved: 'The file could not be made. Free some space on the phone and try again.',
} as const;
