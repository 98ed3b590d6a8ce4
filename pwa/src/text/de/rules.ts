/** German for what the server's specification says of its rules (generated/api.ts, RULES). */
export const rules: Readonly<Record<string, string>> = {
  frost_title: 'Frost heute Nacht',
  frost_question: 'Kann Frost heute Nacht etwas schädigen?',
  frost_cost: 'Was das Abdecken jedes Mal kostet, in Minuten oder Geld (übliche Praxis, ohne Quelle).',
  frost_loss: 'Was der Schaden kostet, wenn nichts getan wird, im selben Maß (übliche Praxis, ohne Quelle).',
  frost_at_c:
    'Warne immer, wenn es bis auf diese Temperatur oder darunter fallen kann, was immer draußen steht; leer: gar nicht.',
  ground_frost_title: 'Bodenfrost',
  ground_frost_question: 'Kann es heute Nacht am Boden frieren?',
  ground_frost_cost: 'Was das Abdecken jedes Mal kostet, in Minuten oder Geld (übliche Praxis, ohne Quelle).',
  ground_frost_loss:
    'Was der Schaden kostet, wenn nichts getan wird, im selben Maß (übliche Praxis, ohne Quelle).',
  evening_reading_title: 'Abendmessung fehlt',
  evening_reading_question: 'Fehlt die Abendmessung in einer Nacht, in der es frieren kann?',
  heat_title: 'Zu heiß unter Folie oder Glas',
  heat_question: 'Ist es im Folientunnel oder Frühbeet zu heiß?',
  heat_limit_c: 'Darüber ist es zu heiß (übliche Praxis, ohne Quelle).',
  surge_title: 'Schneckenschub',
  surge_question: 'Sind es mehr Schnecken als sonst, und wo?',
  surge_one_false_in:
    'Ein Fehlalarm in so vielen ruhigen Runden ist erlaubt: weniger Runden heißt wachsamer (simuliert bei 60).',
  surge_current_days: 'Eine ältere Runde ist keine Neuigkeit mehr (übliche Praxis, ohne Quelle).',
  threshold_title: 'Schnecken über deiner Schwelle',
  threshold_question: 'Liegt das Mittel je Brett über dem, was ich hinnehme?',
  threshold_mean_per_board:
    'Deine eigene Schwelle für das Mittel aller Bretter einer Runde; ohne sie schweigt die Regel.',
  threshold_chance_percent:
    'Wie wahrscheinlich das wahre Mittel über der Schwelle liegen muss (50: sobald es das Mittel tut).',
  threshold_current_days: 'Eine ältere Runde ist keine Neuigkeit mehr (übliche Praxis, ohne Quelle).',
  wireworm_title: 'Urteil über Drahtwürmer',
  wireworm_question: 'Welche Beete dürfen dieses Jahr Kartoffeln oder Möhren tragen?',
  wireworm_from_month:
    'Erster Monat, in dem das Urteil gesagt wird: wenn Kartoffeln bestellt und Beete gewählt werden.',
  wireworm_to_month:
    'Letzter Monat, in dem das Urteil gesagt wird: wenn die letzten Kartoffeln und Möhren hineinkommen.',
  wireworm_plant_per_trap:
    'So viele je Falle im Mittel wären hinnehmbar (übliche Praxis, ohne Quelle; für eine kleine Parzelle veröffentlicht niemand einen Wert).',
  wireworm_do_not_per_trap:
    'Ab so vielen je Falle: nicht pflanzen. Über 1 je Falle litt Mais unter Agriotes brevis (Furlan 2014; keine britische Art).',
  wireworm_do_not_per_ha:
    'Ab solcher Dichte in Bohrkernen: nicht pflanzen. Etwa 60.000 je Hektar können großen Schaden anrichten (ADAS, in der Fachpresse, 2001).',
  wireworm_clumping_k:
    'Wie geklumpt Drahtwürmer zwischen den Fallen liegen: klein heißt geklumpt und braucht mehr Fallen (aus dem Gedächtnis, ohne Quelle).',
  traps_due_title: 'Falle fällig',
  traps_due_question: 'Welche Fallen sind zu heben?',
  traps_due_first_day:
    'Tage im Boden, ab denen eine Köderfalle fällig ist (10 bis 14, Farm Advisory Service 2025).',
  traps_due_beetle_days:
    'Tage zwischen den Kontrollen einer Käferfalle (wöchentlich, ADAS und AHDB 2001 bis 2011).',
  trap_not_valid_title: 'Falle nicht gültig',
  trap_not_valid_question: 'Welche Fallen zählen nicht, und warum?',
  trap_not_valid_days:
    'Wie lange nach dem Heben eine Falle, die nicht zählt, sichtbar bleibt (übliche Praxis, ohne Quelle).',
  soil_window_title: 'Boden warm genug',
  soil_window_question: 'Ist der Boden warm genug zum Säen oder Pflanzen, und wann etwa wird er es sein?',
  soil_window_crops:
    'Pflanzen, für die der Boden beobachtet wird, mit Kommas dazwischen, auf Englisch: asparagus (Spargel), bean (Bohne), beet (Rübe), cabbage (Kohl), carrot (Möhre), cucumber (Gurke), lettuce (Salat), maize (Mais), onion (Zwiebel), parsnip (Pastinake), pea (Erbse), pepper (Paprika), potato (Kartoffel), radish (Radieschen), spinach (Spinat), squash (Kürbis), tomato (Tomate).',
  soil_window_days: 'Tage, deren Mittel zählt (mehrere Tage: übliche Praxis, ohne Quelle).',
  soil_window_last_month: 'Letzter Monat, in dem es gesagt wird (übliche Praxis, ohne Quelle).',
  plant_out_title: 'Risiko beim Auspflanzen',
  plant_out_question: 'Wie wahrscheinlich ist Frost nach dem Tag, an dem Empfindliches hinauskommt?',
  plant_out_plant_out_on:
    'Der Tag, an dem du auspflanzen willst, Monat und Tag: 05-20 ist der 20. Mai (übliche Praxis, ohne Quelle).',
  plant_out_days_before: 'So viele Tage vorher sagen.',
  plant_out_risk_percent:
    'Über diesem Risiko meldet sie sich; darunter steht es nur in der App (übliche Praxis, ohne Quelle).',
  plant_out_fewest_springs:
    'Eigene Frühjahre, die nötig sind; 20 bis 30 sind für eine solche Zahl üblich (NOAA).',
  nematode_window_title: 'Zeit für Nematoden',
  nematode_window_question: 'Ist jetzt die Zeit, Nematoden auszugießen, und wann wieder?',
  nematode_window_offer: 'Auch davon sagen, wenn hier noch keine Nematoden benutzt wurden.',
  nematode_window_again_days:
    'Wie lange gesagt wird, dass ein Ort wieder dran ist (übliche Praxis, ohne Quelle).',
  treatment_scored_title: 'Behandlung beurteilt',
  treatment_scored_question: 'Hat die Behandlung gewirkt?',
  treatment_scored_rounds_after:
    'Gültige Runden von Tag 7 bis 42, die vor dem Urteil nötig sind (übliche Praxis, ohne Quelle).',
  treatment_scored_days_shown: 'Wie lange die Antwort nach Tag 42 bleibt (übliche Praxis, ohne Quelle).',
  blight_title: 'Wetter für Krautfäule',
  blight_question: 'War das Wetter recht für die Kraut- und Braunfäule?',
  blight_current_days: 'Wie lange ein solches Tagepaar sichtbar bleibt (übliche Praxis, ohne Quelle).',
  round_missed_title: 'Runde ausgelassen',
  round_missed_question: 'Ist eine gewohnte Runde ausgefallen?',
  round_missed_every_days:
    'Alle so viele Tage ist eine Runde vereinbart; 0 lernt es aus den Runden der Parzelle.',
  round_missed_first_month: 'Erster Monat, in dem Runden erwartet werden (übliche Praxis, ohne Quelle).',
  round_missed_last_month: 'Letzter Monat, in dem Runden erwartet werden (übliche Praxis, ohne Quelle).',
  reading_implausible_title: 'Ablesung zweifelhaft',
  reading_implausible_question: 'Wurde ein Thermometer falsch abgelesen oder nicht zurückgestellt?',
  reading_implausible_days:
    'Wie lange eine zweifelhafte Ablesung sichtbar bleibt (übliche Praxis, ohne Quelle).',
  reading_implausible_not_reset:
    'Auch sagen, wenn ein Höchst- oder Tiefstwert abgelesen und das Thermometer nicht zurückgestellt wurde.',
  phone_not_synced_title: 'Handy nicht abgeglichen',
  phone_not_synced_question: 'Von welchem Handy hat man nichts gehört?',
  phone_not_synced_days: 'Nach so vielen Tagen ohne Abgleich sagen (übliche Praxis, ohne Quelle).',
  backup_old_title: 'Sicherung alt',
  backup_old_question: 'Gibt es eine Sicherung, die neu genug ist?',
  backup_old_days: 'Wie alt die neueste Sicherung sein darf (übliche Praxis, ohne Quelle).',
  certificate_ending_title: 'Zertifikat läuft ab',
  certificate_ending_question: 'Können die Handys weiter abgleichen?',
  certificate_ending_days:
    'So viele Tage vorher sagen; die letzten 7 wiegen schwerer (übliche Praxis, ohne Quelle).',
  'unit_quiet rounds': 'ruhige Runden',
  unit_days: 'Tage',
  'unit_slugs a board': 'Schnecken je Brett',
  'unit_wireworms a trap': 'Drahtwürmer je Falle',
  'unit_wireworms a hectare': 'Drahtwürmer je Hektar',
  unit_springs: 'Frühjahre',
  unit_rounds: 'Runden',
};
