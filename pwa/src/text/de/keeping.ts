export const keeping = {
  title: 'Was hier gespeichert ist',
  persisted: 'Der Browser hat versprochen, es aufzubewahren, auch wenn das Handy voll wird.',
  may_clear:
    'Der Browser hat nichts versprochen: Wird das Handy voll, kann er alles, was Underboard hier speichert, auf einmal und ohne zu fragen löschen.',
  seven_days:
    'Dieser Browser leert außerdem, was eine Seite gespeichert hat, wenn sie sieben Nutzungstage lang nicht geöffnet wurde, es sei denn, sie liegt auf dem Startbildschirm.',
  at_stake:
    '{n} {n|Eintrag ist|Einträge sind} nur auf diesem Handy. Gleiche ab, oder speichere die Datei oben, bevor du dich darauf verlässt.',
  nothing_at_stake: 'Alles hier ist auch auf dem Server, heute ginge also nichts für immer verloren.',
  refused:
    'Der Browser hat abgelehnt. Die meisten stimmen zu, wenn Underboard auf dem Startbildschirm liegt und eine Weile benutzt wurde.',
  used: '{mb} MB sind hier belegt.',
  share:
    'Das sind {percent} % von dem, was der Browser uns gäbe; das Handy selbst ist womöglich früher voll.',
  full: 'Fast voll: Fotos werden nicht mehr aufgenommen, damit Zählungen noch Platz haben. Gleiche ab, dann schaff Platz auf dem Handy.',
  in_browser: 'Im Browser geöffnet, nicht vom Startbildschirm.',
  install: 'Auf den Startbildschirm legen',
  why_install: 'Es startet dann ohne Netz, füllt den Bildschirm und wird vom Handy länger aufbewahrt.',
  install_now: 'Underboard installieren',
  way_ios_safari: 'Tippe auf Teilen (das Quadrat mit dem Pfeil), dann Zum Home-Bildschirm, dann Hinzufügen.',
  way_ios_other:
    'Öffne diese Adresse in Safari. Tippe dort auf Teilen (das Quadrat mit dem Pfeil), dann Zum Home-Bildschirm.',
  way_android:
    'Öffne das Menü des Browsers (die drei Punkte), dann App installieren oder Zum Startbildschirm hinzufügen.',
  way_android_firefox:
    'Öffne das Menü (die drei Punkte), dann Installieren oder App zum Startbildschirm hinzufügen.',
  way_desktop:
    'Drück das Zeichen zum Installieren am Ende der Adresszeile, oder such Installieren im Menü des Browsers. Safari auf dem Mac: Ablage, Zum Dock hinzufügen.',
  pair_inside:
    'Auf einem iPhone sieht die App auf dem Startbildschirm nicht, was der Browser gespeichert hat: Kopple sie dort mit einem eigenen Code, und gleiche hier ab, bevor du wechselst.',
  program: 'Das Programm',
  starts_offline: 'Startet ohne Netz.',
  version: 'Version {version}, Stand {build}.',
  offered_never_forced:
    'Ein neueres wird oben auf dem Bildschirm angeboten und erst aufgespielt, wenn du auf Aktualisieren tippst. Einträge und halb ausgefüllte Formulare bleiben, wie sie sind.',
  look: 'Nach einem neueren sehen',
  newest: 'Das ist das neueste.',
  ready: 'Ein neueres liegt bereit: Tippe oben auf Aktualisieren, wann es dir passt.',
  unreached: 'Der Server war nicht zu fragen. Was hier ist, läuft weiter.',
};
