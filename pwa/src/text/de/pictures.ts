/** Worte jedes Bildes: näher hinsehen, seine Tabelle, es sichern. */
export const pictures = {
  label:
    '{title}: ein Bild über die Zeit. Dieselben Zahlen stehen in der Tabelle darunter. Tasten: + und − näher und weiter, Pfeile schieben, 0 zeigt alles.',
  label_rows: '{title}: ein Bild. Dieselben Zahlen stehen in der Tabelle darunter.',
  hint: 'Tippe auf einen Tag, um ihn zu lesen. Zwei Finger holen näher heran.',
  closer: 'Näher hinsehen',
  wider: 'Weiter weg',
  whole: 'Alles zeigen',
  not_drawn:
    'Das Bild war nicht zu holen. Seine Zahlen stehen darunter; öffne die App einmal zu Hause, dann ist es auch hier da.',
  table: 'Die Zahlen',
  more_rows: 'Mehr zeigen (noch {n})',
  save: 'Dieses Bild sichern',
  save_png: 'Bild (PNG)',
  save_svg: 'Zeichnung (SVG)',
  save_csv: 'Zahlen (CSV)',
  save_what:
    'Bild und Zeichnung zeigen den Ausschnitt, den du ansiehst; die Zahlen sind alle, mit ihren Einheiten.',
  saved: 'Gesichert als {name}.',
  not_saved: 'Die Datei ließ sich nicht anlegen. Schaffe Platz auf dem Telefon und versuche es noch einmal.',
} as const;
