export const told = {
  sync_idle: 'Alles auf dem Server.',
  sync_syncing: 'Wird gesendet und geholt.',
  sync_not_home:
    'Nicht zu Hause: Von hier ist der Server nicht zu erreichen. Alles bleibt auf diesem Handy erhalten.',
  sync_offline: 'Kein Netz. Alles bleibt auf diesem Handy und geht zu Hause von selbst hinaus.',
  sync_pair_again: 'Der Server kennt dieses Handy nicht mehr. Kopple es neu; verloren ist darauf nichts.',
  sync_update_needed:
    'Diese Seite und der Server sind verschieden alt. Lade die Seite zu Hause neu oder bringe den Server auf den neuen Stand; verloren ist nichts.',
  sync_trouble:
    'Der Server hat ein Problem. Alles bleibt auf diesem Handy; es versucht es von selbst noch einmal.',
  disk_full: 'Die Platte des Servers ist voll. Alles bleibt auf diesem Handy; schaff Platz auf dem Server.',
  not_paired: 'Dieses Handy ist noch mit keinem Server gekoppelt. Was du einträgst, bleibt darauf.',
  left_over: '{n} {n|Eintrag ist|Einträge sind} noch nur auf diesem Handy.',
  photos_follow: 'Die Einträge sind auf dem Server; die Fotos folgen.',
  other_server:
    'Auf diesem Handy liegen Einträge, die sein eigener Server noch nicht hat, und dies ist ein anderer Server. Gleiche erst zu Hause ab oder verschicke sie als Datei.',
  other_plot:
    'Auf diesem Handy liegen ungesendete Einträge einer anderen Parzelle. Gleiche sie erst dort ab oder verschicke sie als Datei.',
  stranger: 'Etwas hat geantwortet, aber kein Underboard-Server. Verbinde dich mit dem WLAN zu Hause.',
  no_answer: 'Der Server antwortet nicht. Verbinde dich mit dem WLAN zu Hause und versuch es noch einmal.',
  not_stored: 'Das Handy konnte die Kopplung nicht speichern. Versuch es noch einmal.',
  store_blocked:
    'Underboard ist in einem anderen Tab mit einer älteren Version offen. Schließ die anderen Tabs.',
  store_newer: 'Hier wurde schon ein neueres Underboard benutzt. Lade die Seite neu; verloren ist nichts.',
  store_full:
    'Nicht gespeichert: Das Handy ist voll. Schaff Platz (Fotos, andere Apps) und speichere noch einmal. Das Formular bleibt erhalten.',
  store_dead:
    'Nicht gespeichert: Der Speicher des Handys antwortet nicht. Schließ Underboard und öffne es wieder. Das Formular bleibt erhalten.',
};
