/** Tasten am Rechner. */
export const keys = {
  title: 'Tasten',
  here: 'Auf dieser Seite',
  everywhere: 'Überall',
  ladder: 'Das Brett davor, das Brett danach',
  figures: 'Die Zahl der Schnecken; Ziffern hintereinander sind eine Zahl',
  go_n: 'Zu Jetzt',
  go_p: 'Zur Parzelle',
  go_d: 'Zum Tagebuch',
  go_f: 'Zu den Befunden',
  go_s: 'Zum Abgleich',
  go_a: 'Alle drei nebeneinander',
  tab: 'Weiter zum Nächsten, das sich drücken lässt',
  escape: 'Schließen, was offen liegt',
  this: 'Diese Liste',
  single: 'Einzelne Tasten',
  single_hint: 'Aus: Nur Tab, Enter, Pfeile und Esc tun etwas, wie überall.',
} as const;
