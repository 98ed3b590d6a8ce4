import type { Phrase } from '../phrases';

/** Warnings about soil, planting out, treatments scored, frosts that came, the house; what is known of them. */
export const ground: readonly Phrase[] = [
  // Soil warm enough
  [
    'The soil at {where} is warm enough for {crop} since {day}: {mean} over {n} days, at least {need} is wanted.',
    'Der Boden bei {where} ist seit dem {day} warm genug für {crop}: {mean} über {n} Tage, mindestens {need} sind nötig.',
  ],
  [
    'Read on {n} of the {days} days, the others filled in between readings.',
    'An {n} der {days} Tage abgelesen, die übrigen zwischen den Ablesungen ergänzt.',
  ],
  ['Read on {n} of the {days} days.', 'An {n} der {days} Tage abgelesen.'],
  ['It was rising, as potatoes want.', 'Die Wärme stieg, wie Kartoffeln es brauchen.'],
  ['At that warmth it comes up after about {days}.', 'Bei dieser Wärme geht die Saat nach etwa {days} auf.'],
  [
    'It is warm enough only just: seed comes up very slowly and may rot.',
    'Es ist nur eben warm genug: Die Saat geht sehr langsam auf und kann faulen.',
  ],
  ['Thermometer at {depth}.', 'Thermometer in {depth} Tiefe.'],
  [
    'Commonly: sow or plant in the next dry days, when the soil crumbles in the hand.',
    'Üblich: an den nächsten trockenen Tagen säen oder pflanzen, wenn der Boden in der Hand krümelt.',
  ],
  [
    'A late cold spell can close the window again, and frost can still come: look at the forecast.',
    'Ein später Kälteeinbruch kann das Fenster wieder schließen, und Frost kann noch kommen: Sieh dir die Vorhersage an.',
  ],
  // Planting out
  [
    'Planting out on {day}: a frost came later in {late} of your {n} springs ({p}, 95 % interval {span}).',
    'Auspflanzen am {day}: In {late} von deinen {n} Frühjahren kam danach noch Frost ({p}, 95-%-Bereich {span}).',
  ],
  [
    "Lowest air temperature below 0 °C at the plot's own open-air thermometer, by the morning it came.",
    'Tiefste Lufttemperatur unter 0 °C am eigenen Thermometer im Freien, nach dem Morgen, an dem sie kam.',
  ],
  ['{springs} had none.', 'Ohne Frost: {springs}.'],
  [
    'In nine of ten springs the last one was over by about {day}.',
    'In neun von zehn Frühjahren war der letzte bis etwa {day} vorbei.',
  ],
  ['Waiting to go out: {kinds}.', 'Wartet aufs Auspflanzen: {kinds}.'],
  ['Not hardened off for a week by then: {kinds}.', 'Bis dahin keine Woche abgehärtet: {kinds}.'],
  [
    'Commonly: harden off for 7 to 10 days, keep fleece ready for two weeks after planting out, and hold some plants back.',
    'Üblich: 7 bis 10 Tage abhärten, nach dem Auspflanzen zwei Wochen Vlies bereithalten und einige Pflanzen zurückbehalten.',
  ],
  [
    'Nights that nobody read may have had a frost.',
    'Nächte, die niemand abgelesen hat, können Frost gehabt haben.',
  ],
  [
    'A spring is not the mean of springs: watch the nights.',
    'Ein Frühjahr ist nicht das Mittel der Frühjahre: Behalt die Nächte im Auge.',
  ],
  // Nematodes
  [
    'Nematodes can be watered in: the soil is at about {c}, and none are at work.',
    'Nematoden können ausgegossen werden: Der Boden hat etwa {c}, und keine sind am Werk.',
  ],
  [
    '{where}: what was watered in on {day} is spent since {since}; a new dose may go on, the soil is at about {c}.',
    '{where}: Was am {day} ausgegossen wurde, ist seit dem {since} verbraucht; eine neue Gabe ist möglich, der Boden hat etwa {c}.',
  ],
  [
    "They need {low} to 20 °C in moist soil, outdoors from March to October (suppliers' leaflets).",
    'Sie brauchen {low} bis 20 °C in feuchtem Boden, im Freien von März bis Oktober (Anleitungen der Anbieter).',
  ],
  [
    "One application lasts about {days} days (suppliers' leaflets).",
    'Eine Anwendung hält etwa {days} Tage (Anleitungen der Anbieter).',
  ],
  ['Nobody noted how moist the soil is.', 'Niemand hat vermerkt, wie feucht der Boden ist.'],
  [
    'Commonly 300,000 to the square metre, again after six weeks; leave some boards untreated to compare.',
    'Üblich sind 300.000 je Quadratmeter, nach sechs Wochen wieder; lass zum Vergleich einige Bretter unbehandelt.',
  ],
  [
    'Water in at dusk or on a dull day, at once, on moist soil, and keep it moist for two weeks; keep 3 m from ponds; follow the label.',
    'Gieß in der Dämmerung oder an einem trüben Tag, sofort nach dem Ansetzen, auf feuchten Boden, und halt ihn zwei Wochen feucht; bleib 3 m von Teichen weg; folge dem Etikett.',
  ],
  [
    'Gloves; wash hands; children and dogs away until it has soaked in.',
    'Handschuhe; Hände waschen; Kinder und Hunde fern, bis es eingezogen ist.',
  ],
  [
    'A home brew is unidentified and unproven: keep an untreated control, do not move or sell it, keep it off leaves to be eaten; releasing animals that are not native needs a licence (England and Wales).',
    'Ein eigener Ansatz ist unbestimmt und unbewiesen: Lass etwas zum Vergleich unbehandelt, gib ihn nicht weiter und verkauf ihn nicht, halt ihn von Blättern fern, die gegessen werden; nicht heimische Tiere freizusetzen braucht eine Erlaubnis (England und Wales).',
  ],
  // A treatment scored
  [
    'Boards with {what} of {day} had {said} so far (95 % interval): {end}.',
    'Bretter mit {what} vom {day} hatten bisher {said} (95-%-Bereich): {end}.',
  ],
  [
    'Boards with {what} of {day} had {said} (95 % interval): {end}.',
    'Bretter mit {what} vom {day} hatten {said} (95-%-Bereich): {end}.',
  ],
  [
    '{treated} against {control}, {before} before and {after} from day {first} to day {last} after.',
    '{treated} gegen {control}, {before} davor und {after} von Tag {first} bis Tag {last} danach.',
  ],
  [
    'Before {a} slugs under {b} treated boards turned, {c} under {d} untreated; after {e} slugs under {f} treated boards turned, {g} under {h} untreated.',
    'Davor {a} Schnecken unter {b} umgedrehten behandelten Brettern, {c} unter {d} unbehandelten; danach {e} unter {f} behandelten, {g} unter {h} unbehandelten.',
  ],
  ['Best single figure: {p} % fewer.', 'Bester Einzelwert: {p} % weniger.'],
  ['Best single figure: {p} % more.', 'Bester Einzelwert: {p} % mehr.'],
  [
    'Also done there in these weeks, and mixed up in it: {list}.',
    'In diesen Wochen dort auch behandelt, und mit darin vermischt: mit {list}.',
  ],
  [
    'Counts of valid rounds until {day} still come in, and the answer may change with each.',
    'Bis zum {day} kommen noch Zählungen gültiger Runden dazu, und die Antwort kann sich mit jeder ändern.',
  ],
  [
    'One treated and one untreated bed is one comparison, however many boards lie in them: beds differ by themselves.',
    'Ein behandeltes und ein unbehandeltes Beet sind ein einziger Vergleich, wie viele Bretter auch darin liegen: Beete unterscheiden sich von selbst.',
  ],
  ['The counts are few.', 'Es sind wenige Zählungen.'],
  [
    'Slugs die underground: finding no bodies is no sign that it failed.',
    'Schnecken sterben im Boden: Keine toten zu finden heißt nicht, dass es nicht gewirkt hat.',
  ],
  [
    'Commonly: repeat after six weeks while the soil is warm and moist, and keep the untreated places.',
    'Üblich: nach sechs Wochen wiederholen, solange der Boden warm und feucht ist, und die unbehandelten Stellen behalten.',
  ],
  [
    'Commonly: look at how it was put on (soil warmth, moisture, dose), keep the untreated places, and compare again with more boards before giving it up or paying for it again.',
    'Üblich: prüfen, wie es ausgebracht wurde (Bodenwärme, Feuchte, Menge), die unbehandelten Stellen behalten und mit mehr Brettern noch einmal vergleichen, ehe man es aufgibt oder wieder bezahlt.',
  ],
  // Ground frost
  [
    'On {nights} of this plot the grass was {d} colder than the air; what is most tender in the open may be hurt below {limit}.',
    'In {nights} dieser Parzelle war das Gras um {d} kälter als die Luft; das Empfindlichste im Freien kann unter {limit} leiden.',
  ],
  [
    'A rule of thumb (common practice, no source): on a clear, calm night grass is commonly 2 to 4 °C colder than the air.',
    'Eine Faustregel (übliche Praxis, ohne Quelle): In einer klaren, stillen Nacht ist Gras gewöhnlich 2 bis 4 °C kälter als die Luft.',
  ],
  [
    'A thermometer at the grass, read on {n} clear nights, would tell how it is here.',
    'Ein Thermometer am Gras, in {n} klaren Nächten abgelesen, würde sagen, wie es hier ist.',
  ],
  // Heat
  [
    'It was {c} in {place} on {day}, above {limit}: open earlier.',
    'Am {day} waren es in {place} {c}, über {limit}: Öffne früher.',
  ],
  [
    'It was {c} in {place} on {day}, above {limit}: open up.',
    'Am {day} waren es in {place} {c}, über {limit}: Öffne jetzt.',
  ],
  [
    'Read at the thermometer there; the limit of {limit} is {source} unless you set it.',
    'Am Thermometer dort abgelesen; die Grenze von {limit} ist {source}, wenn du sie nicht selbst gesetzt hast.',
  ],
  // Evening reading missing
  [
    'The reading belongs two hours after sunset; there are too few days of this plot to do without.',
    'Die Messung gehört zwei Stunden nach Sonnenuntergang; ohne sie geht es nicht, dafür sind von dieser Parzelle zu wenige Tage da.',
  ],
  [
    'In the afternoon it was {c}; from there it usually falls {fall} ({n} on this plot, whatever the sky).',
    'Am Nachmittag waren es {c}; von da fällt es sonst um {fall} ({n} auf dieser Parzelle, bei jedem Himmel).',
  ],
  [
    'The newest minimum read was {c}; within a few nights that usually changes by about {d} ({n} on this plot, whatever the sky).',
    'Der letzte abgelesene Tiefstwert war {c}; in wenigen Nächten ändert sich das sonst um etwa {d} ({n} auf dieser Parzelle, bei jedem Himmel).',
  ],
  [
    'That is a wide guess: an evening reading tells more.',
    'Das ist weit geschätzt: Eine Abendmessung sagt mehr.',
  ],
  // Frost that came
  [
    'Frost in {night}: {low} in the open; cold enough to hurt {what}.',
    'Frost in {night}: {low} im Freien; kalt genug, um zu schaden: {what}.',
  ],
  ['Frost in {night}: {low} in the open.', 'Frost in {night}: {low} im Freien.'],
  [
    'It fell to {low} in {night}: your own temperature was met.',
    'Es fiel in {night} auf {low}: Deine eigene Temperatur war erreicht.',
  ],
  [
    'Read at the minimum thermometer; the night is over, so this is only noted.',
    'Am Minimumthermometer abgelesen; die Nacht ist vorbei, dies ist also nur vermerkt.',
  ],
  [
    '{crop}: harm may start below {limit}, it was {low}.',
    '{crop}: Schaden kann unter {limit} beginnen, es waren {low}.',
  ],
  // Thermometer readings
  ['{label}, read on {day}: {doubts}.', '{label}, abgelesen am {day}: {doubts}.'],
  ['It was read as {figures}.', 'Abgelesen wurde: {figures}.'],
  ['The reading is kept as it was entered.', 'Die Ablesung bleibt, wie sie eingetragen wurde.'],
  ['Frost is not learned from a doubtful one.', 'Aus einer zweifelhaften wird über Frost nichts gelernt.'],
  [
    'Without a reset the next extremes cannot be credited to one day.',
    'Ohne Zurückstellen lassen sich die nächsten Extremwerte keinem Tag zuordnen.',
  ],
  // The house
  [
    "Reckoned from the plot's own rounds: {habit}.",
    'Aus den eigenen Runden der Parzelle gerechnet: {habit}.',
  ],
  [
    'Run underboard backup FILE on the server, onto another disk; with the setting backup_folder it is made each day. underboard doctor says what keeps it from being made.',
    'Starte auf dem Server underboard backup DATEI, auf eine andere Platte; mit der Einstellung backup_folder geschieht es jeden Tag. underboard doctor sagt, was es verhindert.',
  ],
  [
    'The file holds all records, names and photos: keep it where others cannot read it, or encrypt it.',
    'Die Datei enthält alle Einträge, Namen und Fotos: Bewahr sie auf, wo andere sie nicht lesen können, oder verschlüssle sie.',
  ],
  ["The server's certificate ends on {day}.", 'Das Zertifikat des Servers läuft am {day} ab.'],
  ["The server's certificate ended on {day}.", 'Das Zertifikat des Servers ist am {day} abgelaufen.'],
  [
    'Without a certificate that holds, phones refuse to sync; what they record stays safe on them.',
    'Ohne gültiges Zertifikat gleichen Handys nicht ab; was sie aufnehmen, bleibt sicher auf ihnen.',
  ],
  [
    'A server that runs renews its own certificate by itself; run `underboard certificate` to see why not.',
    'Ein Server, der läuft, erneuert sein eigenes Zertifikat selbst; `underboard certificate` zeigt, warum er es nicht tat.',
  ],
  [
    'Never tell a phone to go on in spite of a certificate warning: that is how a sham server gets in.',
    'Lass ein Handy nie trotz einer Zertifikatswarnung weitermachen: So kommt ein falscher Server herein.',
  ],
  // How far the limits of a mean can be trusted (agronomy/count_words.ts)
  [
    'The limits are Poisson limits: if slugs clump, as they mostly do, the true mean may lie higher.',
    'Die Grenzen sind Poisson-Grenzen: Sitzen die Schnecken in Haufen, wie meist, kann das wahre Mittel höher liegen.',
  ],
  [
    'Only {a} counted on {b} boards: with so little the limits are mostly wider than their level says, yet the true mean may lie above them where these boards missed the clumps.',
    'Nur {a} auf {b} Brettern gezählt: Bei so wenig sind die Grenzen meist weiter, als sie versprechen, doch kann das wahre Mittel darüber liegen, wo diese Bretter die Haufen verfehlt haben.',
  ],
  [
    'Only {a} counted in all: the intervals are wider than their level says, so that the true mean lies inside more often than promised.',
    'Insgesamt nur {a} gezählt: Die Bereiche sind weiter, als sie versprechen, das wahre Mittel liegt also öfter darin.',
  ],
  [
    'With {a} boards no interval of clumped counts can be trusted: the true mean lies outside clearly more often than the level says.',
    'Bei {a} Brettern ist auf keinen Bereich gehäufter Zählungen Verlass: Das wahre Mittel liegt deutlich öfter außerhalb, als er verspricht.',
  ],
  [
    'With {a} clumped boards the plain interval (mean_low, mean_high) holds the true mean in about 91 to 94 of 100 cases instead of 95; the calibrated one comes closer.',
    'Bei {a} Brettern mit gehäuften Schnecken hält der einfache Bereich das wahre Mittel in etwa 91 bis 94 von 100 Fällen statt in 95; der geeichte kommt näher heran.',
  ],
  // A culture's strength (agronomy/culture_count.ts)
  [
    'A count does not say what the worms are: most in a rotting brew feed on bacteria (from memory).',
    'Eine Zählung sagt nicht, was für Würmer es sind: Die meisten in einem faulenden Ansatz fressen Bakterien (aus dem Gedächtnis).',
  ],
  ['Count at least three drops.', 'Zähle mindestens drei Tropfen.'],
  [
    'Only {a} counted: the interval is wide; count more drops.',
    'Nur {a} gezählt: Der Bereich ist weit; zähle mehr Tropfen.',
  ],
  [
    'The drops differ more than chance allows: stir and count again; the interval is too narrow.',
    'Die Tropfen unterscheiden sich mehr, als der Zufall erlaubt: Rühr um und zähle noch einmal; der Bereich ist zu eng.',
  ],
];
