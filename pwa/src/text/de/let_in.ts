export const let_in = {
  open: 'Ein weiteres Handy einlassen',
  open_hint: 'Ein Code von diesem Handy, gut für ein anderes.',
  role: 'Was darf jenes Handy?',
  role_helper: 'Helfer',
  role_helper_text: 'Zählt, trägt ein und verbessert, was geschrieben wurde.',
  role_owner: 'Besitzer',
  role_owner_text:
    'All das; lässt auch Handys ein und trennt sie ab, auch deines, und bestimmt, wohin Warnungen gemailt werden.',
  role_reader: 'Leser',
  role_reader_text: 'Sieht alles, schreibt nichts.',
  needs_server: 'Den Code macht der Server, er muss also erreichbar sein.',
  make: 'Code machen',
  making: 'Frage den Server …',
  unreached:
    'Der Server ist von hier nicht erreichbar, und nur er macht den Code. Versuch es zu Hause noch einmal. Alles andere auf diesem Handy geht weiter.',
  as_helper: 'Lässt ein Handy als Helfer ein.',
  as_owner: 'Lässt ein Handy als Besitzer ein.',
  as_reader: 'Lässt ein Handy als Leser ein.',
  address: 'Öffne das auf dem anderen Handy',
  code: 'und gib dort diesen Code ein',
  or_scan: 'oder richte seine Kamera hierauf',
  square: 'Bildcode der Adresse mit dem Code {code} darin',
  left: 'Gilt bis {time}: noch {n} {n|Minute|Minuten}.',
  run_out: 'Dieser Code ist abgelaufen. Damit kommt niemand mehr herein.',
  again: 'Neuen Code machen',
  only_here:
    'Diese Adresse gilt nur auf diesem Computer: Kein Handy kommt darüber hierher. Ein Handy braucht eine sichere Adresse deines Haushalts: Die Hilfeseite über Handys hat die Schritte.',
  trust:
    'Warnt jenes Handy, bevor die Seite aufgeht? Dann vertraut es deinem Haushalt noch nicht. Öffne zuerst das darauf und tu, was dort steht:',
  home_screen:
    'Leg Underboard auf jenem Handy zuerst auf den Startbildschirm und gib den Code dort ein: Die Kamera öffnet vielleicht einen anderen Browser.',
  came: '{name} ist dabei.',
};
