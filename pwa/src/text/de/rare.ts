export const rare = {
  missing_title: 'Hier wohnt nichts',
  missing_text: 'Diese Adresse führt zu keiner Seite. Deine Einträge sind sicher.',
  insecure_title: 'Unter dieser Adresse lassen sich keine Einträge aufbewahren',
  insecure_text:
    'Das Handy hat Underboard ohne sichere Verbindung geöffnet; der Browser lässt es deshalb weder Einträge speichern noch ohne Netz arbeiten noch die Kamera benutzen. Verloren ist nichts.',
  insecure_fix:
    'Öffne es unter seiner https-Adresse. Auf dem Rechner mit dem Server macht oder nennt „underboard certificate“ sie.',
  cleared:
    'Das System hat den Speicher des Handys geleert. Was den Server erreicht hatte, kommt wieder, sobald das Handy ihn erreicht oder der Parzelle wieder beigetreten ist; was nicht, ist verloren. Leg Underboard auf den Startbildschirm, um das zu verhindern.',
  cleared_read: 'Gelesen',
};
