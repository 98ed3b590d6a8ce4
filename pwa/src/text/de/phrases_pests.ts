import type { Phrase } from '../phrases';

/** Warnings about slugs, wireworms, blight and what was done against them. */
export const pests: readonly Phrase[] = [
  // Surge
  [
    'More slugs than usual on {where} on {day}: {count} in the {n} rounds up to then, {times} times the usual (95 % interval {span}).',
    'Mehr Schnecken als sonst auf {where} am {day}: {count} in den {n} Runden bis dahin, das {times}-Fache des Üblichen (95-%-Bereich {span}).',
  ],
  [
    'More slugs than usual on {where} on {day}: {count}, {times} times the usual (95 % interval {span}).',
    'Mehr Schnecken als sonst auf {where} am {day}: {count}, das {times}-Fache des Üblichen (95-%-Bereich {span}).',
  ],
  [
    'The boards turned usually have {amount} together, learned from {rounds}.',
    'Die umgedrehten Bretter haben zusammen sonst {amount}, gelernt aus {rounds}.',
  ],
  [
    'The boards turned {when} usually have {amount} together, learned from {rounds}.',
    'Die {when} umgedrehten Bretter haben zusammen sonst {amount}, gelernt aus {rounds}.',
  ],
  [
    'With nothing changed so many would come up {odds}.',
    'Hätte sich nichts geändert, kämen so viele {odds} vor.',
  ],
  ['It has lasted since {day}.', 'Es dauert seit dem {day} an.'],
  [
    'The newest round was quiet again; a second quiet one ends this warning.',
    'Die neueste Runde war wieder ruhig; eine zweite ruhige beendet diese Warnung.',
  ],
  [
    '{boards} and nobody has said which stands; the higher one is used here.',
    'Es gibt {boards}, und niemand hat gesagt, welche gilt; hier zählt die höhere.',
  ],
  [
    'The surface was {surface} and the night was warm (lowest {low}, on the usual round {usual}).',
    'Die Oberfläche war {surface}, und die Nacht war warm (Tiefstwert {low}, bei der üblichen Runde {usual}).',
  ],
  [
    'The surface was {surface} and the night was no warmer than usual (lowest {low}).',
    'Die Oberfläche war {surface}, und die Nacht war nicht wärmer als sonst (Tiefstwert {low}).',
  ],
  [
    'The night was warm (lowest {low}, on the usual round {usual}).',
    'Die Nacht war warm (Tiefstwert {low}, bei der üblichen Runde {usual}).',
  ],
  [
    'The night was no warmer than usual (lowest {low}).',
    'Die Nacht war nicht wärmer als sonst (Tiefstwert {low}).',
  ],
  [
    'The surface was {surface} when last looked at.',
    'Die Oberfläche war {surface}, als zuletzt jemand hinsah.',
  ],
  ['The surface was {surface}.', 'Die Oberfläche war {surface}.'],
  [
    'Wet, warm nights bring up more of the slugs that are there anyway.',
    'Nasse, warme Nächte holen mehr von den Schnecken herauf, die ohnehin da sind.',
  ],
  [
    'Nothing was done against slugs in the six weeks before, as far as it was written down.',
    'In den sechs Wochen davor wurde nichts gegen Schnecken getan, soweit es aufgeschrieben ist.',
  ],
  ['In the six weeks before: {what}.', 'In den sechs Wochen davor: {what}.'],
  [
    'Only {n} earlier rounds: what is usual is known roughly.',
    'Erst {n} frühere Runden: Was üblich ist, ist nur ungefähr bekannt.',
  ],
  [
    '{label} stands out: {times} times its usual ({span}).',
    '{label} sticht hervor: das {times}-Fache des dort Üblichen ({span}).',
  ],
  // Threshold
  [
    '{mean} slugs a board on {day} (95 % interval {span}): your threshold of {limit} is passed, likely with a chance of {p}.',
    '{mean} Schnecken je Brett am {day} (95-%-Bereich {span}): Deine Schwelle von {limit} ist überschritten, mit einer Wahrscheinlichkeit von {p}.',
  ],
  [
    'Mean of {boards}; a single board says much less.',
    'Mittel aus {boards}; ein einzelnes Brett sagt viel weniger.',
  ],
  [
    'Slugs clump, and the interval allows for it.',
    'Schnecken sitzen in Haufen; der Bereich berücksichtigt das.',
  ],
  ['Above your threshold since {day}.', 'Über deiner Schwelle seit dem {day}.'],
  ['{boards} with two numbers taken at the higher one.', 'Bei {boards} mit zwei Zahlen zählt die höhere.'],
  [
    'Published for comparison only: 4 or more a baited 25 cm trap in winter wheat, 1 in oilseed rape stubble (AHDB; HGCA Topic Sheet 84).',
    'Nur zum Vergleich veröffentlicht: 4 oder mehr je beköderter 25-cm-Falle in Winterweizen, 1 in Rapsstoppeln (AHDB; HGCA Topic Sheet 84).',
  ],
  [
    'Those are baited traps in fields; a board without bait has another size and catch, so its number is not theirs.',
    'Das sind beköderte Fallen auf Feldern; ein Brett ohne Köder hat eine andere Größe und einen anderen Fang, seine Zahl ist also eine andere.',
  ],
  [
    'No threshold is published for vegetable plots.',
    'Für Gemüseparzellen ist keine Schwelle veröffentlicht.',
  ],
  [
    'Only few boards: the interval does not allow for clumping and is too narrow.',
    'Nur wenige Bretter: Der Bereich berücksichtigt die Häufung nicht und ist zu eng.',
  ],
  // Wireworms: verdict on a bed
  [
    '{bed}: do not plant potatoes or carrots: {found}.',
    '{bed}: keine Kartoffeln oder Möhren pflanzen: {found}.',
  ],
  [
    '{bed}: early potatoes only, no maincrop and no carrots: {found}.',
    '{bed}: nur Frühkartoffeln, keine späten und keine Möhren: {found}.',
  ],
  [
    '{bed}: wait before you plant potatoes or carrots: {found}.',
    '{bed}: mit Kartoffeln oder Möhren noch warten: {found}.',
  ],
  [
    '{bed}: potatoes may be planted, at a known risk: {found}.',
    '{bed}: Kartoffeln sind möglich, bei bekanntem Risiko: {found}.',
  ],
  [
    'Where {limit} a trap are usual, {traps} would find none with a chance of {p} (clumped larvae).',
    'Wo {limit} je Falle üblich sind, ist die Wahrscheinlichkeit, dass {traps} leer bleiben, {p} (gehäufte Larven).',
  ],
  [
    'A rule of thumb makes that {n} a hectare (common practice, no source).',
    'Eine Faustregel macht daraus {n} je Hektar (übliche Praxis, ohne Quelle).',
  ],
  ['{worms} of this year and the last.', '{worms} dieses und des letzten Jahres.'],
  [
    '{cores} with none: up to {n} a hectare would agree with that; at 61,673 a hectare they would miss all with a chance of {p}.',
    '{cores} ohne Fund: Bis zu {n} je Hektar wären damit vereinbar; bei 61.673 je Hektar gingen sie mit einer Wahrscheinlichkeit von {p} leer aus.',
  ],
  ['{cores}: {n} a hectare ({low} to {high}).', '{cores}: {n} je Hektar ({low} bis {high}).'],
  [
    '{traps} could not be counted (cold, too short or too long), with {worms} in them.',
    'Nicht zu werten: {traps} (Kälte, zu kurz oder zu lang); darin {worms}.',
  ],
  [
    '{traps} could not be counted (cold, too short or too long).',
    'Nicht zu werten: {traps} (Kälte, zu kurz oder zu lang).',
  ],
  ['{traps} with none would settle it.', '{traps} ohne Fund würden es entscheiden.'],
  [
    'It was broken from grass in {year}; larvae live four to five years in the soil.',
    'Es wurde {year} aus Grasland umgebrochen; die Larven leben vier bis fünf Jahre im Boden.',
  ],
  [
    'Next to grass or a hedge, which wireworms come from.',
    'Neben Gras oder einer Hecke, woher Drahtwürmer kommen.',
  ],
  [
    'Commonly grown instead: beans, peas, brassicas or onions.',
    'Üblich stattdessen: Bohnen, Erbsen, Kohl oder Zwiebeln.',
  ],
  [
    'Keep it free of grass and weeds, and turn the soil in spring and autumn where birds can see it.',
    'Halt es frei von Gras und Unkraut, und wende den Boden im Frühjahr und Herbst, wo Vögel es sehen.',
  ],
  ['Trap again before next season.', 'Setz vor der nächsten Saison wieder Fallen.'],
  [
    'Commonly: earlies only, lifted by the end of July, before the worst feeding on tubers in late summer; maincrop potatoes and carrots elsewhere.',
    'Üblich: nur Frühkartoffeln, bis Ende Juli geerntet, vor dem stärksten Fraß an Knollen im Spätsommer; späte Kartoffeln und Möhren anderswo.',
  ],
  [
    'Commonly: set more bait traps, 10 to 14 days in moist, bare soil above 8 °C, before choosing this bed.',
    'Üblich: mehr Köderfallen setzen, 10 bis 14 Tage in feuchtem, blankem Boden über 8 °C, bevor die Wahl auf dieses Beet fällt.',
  ],
  [
    'Commonly: plant, and look at the first tubers lifted: 20 to 50 of them for holes.',
    'Üblich: pflanzen und die ersten Knollen ansehen, 20 bis 50 davon, ob sie Löcher haben.',
  ],
  ['Lift before autumn.', 'Ernte vor dem Herbst.'],
  [
    'Nothing found is not nothing there: it only bounds how many there may be.',
    'Nichts gefunden heißt nicht nichts da: Es begrenzt nur, wie viele es sein können.',
  ],
  [
    'No published figure turns a catch into damage on a small plot: rank beds by the upper limit.',
    'Keine veröffentlichte Zahl rechnet auf kleiner Fläche einen Fang in Schaden um: Vergleich Beete nach der oberen Grenze.',
  ],
  [
    'Traps in one spot catch fewer each time, and catches fall once other roots are near.',
    'Fallen an einer Stelle fangen jedes Mal weniger, und die Fänge sinken, sobald andere Wurzeln nah sind.',
  ],
  // Traps
  [
    '{traps} at {where} should have been lifted by {day} and will not count.',
    '{traps} bei {where}: hätten bis {day} gehoben werden sollen und zählen nicht.',
  ],
  [
    'Set on {day}. After {n} days the bait is spent or sprouts, larvae leave it, and few are found where many are.',
    'Gesetzt am {day}. Nach {n} Tagen ist der Köder verbraucht oder treibt aus, die Larven verlassen ihn, und wo viele sind, finden sich wenige.',
  ],
  [
    'Lift them, and set fresh bait when the soil is above 8 °C, moist and bare.',
    'Heb sie, und setz frischen Köder, wenn der Boden über 8 °C, feucht und blank ist.',
  ],
  [
    'A low catch now says nothing in favour of the bed.',
    'Ein kleiner Fang spricht jetzt nicht für das Beet.',
  ],
  [
    '{n} of {traps} lifted on {day} do not count: {flaws}.',
    '{n} von {traps}, gehoben am {day}, zählen nicht: {flaws}.',
  ],
  [
    '{n} of {traps} lifted on {day} does not count: {flaws}.',
    '{n} von {traps}, gehoben am {day}, zählt nicht: {flaws}.',
  ],
  [
    '{n} of {traps} lifted on {day} cannot be judged: {flaws}.',
    '{n} von {traps}, gehoben am {day}, nicht zu beurteilen: {flaws}.',
  ],
  [
    'In cold soil wireworms lie deep and do not come to bait; a trap lifted early or late catches fewer (Furlan 2014; Farm Advisory Service 2025).',
    'In kaltem Boden liegen Drahtwürmer tief und kommen nicht an den Köder; eine früh oder spät gehobene Falle fängt weniger (Furlan 2014; Farm Advisory Service 2025).',
  ],
  ['At {places}.', 'Bei {places}.'],
  [
    'Bait anew when the soil at 10 cm stays above 8 °C, moist and bare, and lift after 10 to 14 days.',
    'Beköder neu, wenn der Boden in 10 cm über 8 °C bleibt, feucht und blank ist, und heb nach 10 bis 14 Tagen.',
  ],
  [
    'Nothing in a trap that does not count is no result at all.',
    'Nichts in einer Falle, die nicht zählt, ist gar kein Ergebnis.',
  ],
  ['A find in one still is a find.', 'Ein Fund darin bleibt ein Fund.'],
  [
    'A bait trap speaks for its bed when it lay {from} to {to} days in soil above {soil} (Farm Advisory Service 2025; Furlan 2014).',
    'Eine Köderfalle spricht für ihr Beet, wenn sie {from} bis {to} Tage in Boden über {soil} lag (Farm Advisory Service 2025; Furlan 2014).',
  ],
  [
    'Beetle traps are read once a week (ADAS and AHDB advice, 2001 to 2011).',
    'Käferfallen werden einmal in der Woche abgelesen (Rat von ADAS und AHDB, 2001 bis 2011).',
  ],
  [
    'Count the beetles, empty the trap and set it again; change the lure as its label says.',
    'Zähl die Käfer, leer die Falle und stell sie wieder auf; wechsle den Lockstoff, wie es auf ihm steht.',
  ],
  [
    'There is no fresh reading of a soil thermometer: measure before you lift.',
    'Es gibt keine frische Ablesung eines Bodenthermometers: Miss vor dem Heben.',
  ],
  [
    'The soil at {place} was last not above {c}: a catch lifted now would not count.',
    'Der Boden bei {place} war zuletzt nicht über {c}: Ein Fang von jetzt zählte nicht.',
  ],
  [
    'The soil at {place} was last above {c}, as it has to be.',
    'Der Boden bei {place} war zuletzt über {c}, wie es sein muss.',
  ],
  // Blight
  [
    'Blight weather on {first} and {second}: look at {kinds} in the next days.',
    'Krautfäulewetter am {first} und {second}: Sieh in den nächsten Tagen nach {kinds}.',
  ],
  [
    'Lowest {a} and {b}, {c} and {d} hours at {p} % humidity or more.',
    'Tiefstwerte {a} und {b}, {c} und {d} Stunden mit {p} % Feuchte oder mehr.',
  ],
  [
    'Two days running with at least {low} and {hours} such hours are the Hutton criteria (James Hutton Institute and AHDB 2017, from memory).',
    'Zwei Tage hintereinander mit mindestens {low} und {hours} solchen Stunden sind die Hutton-Kriterien (James Hutton Institute und AHDB 2017, aus dem Gedächtnis).',
  ],
  ['Such days since {day}.', 'Solche Tage seit dem {day}.'],
  [
    'Commonly: look under leaves for pale-edged brown spots every day or two, take hurt leaves off at once, and cut potato haulm and lift two weeks later when it spreads.',
    'Üblich: jeden oder jeden zweiten Tag unter den Blättern nach braunen Flecken mit hellem Rand sehen, befallene Blätter sofort entfernen und, wenn es sich ausbreitet, das Kartoffelkraut schneiden und zwei Wochen später ernten.',
  ],
  ['Water the soil, not the leaves.', 'Gieß den Boden, nicht die Blätter.'],
  [
    'Blight weather is not blight: it says nothing of whether spores are about.',
    'Krautfäulewetter ist keine Krautfäule: Es sagt nichts darüber, ob Sporen unterwegs sind.',
  ],
  [
    "A logger's humidity is commonly off by some per cent.",
    'Die Feuchte eines Loggers liegt gewöhnlich um einige Prozent daneben.',
  ],
  [
    'Do not compost blighted leaves; follow the label of anything sprayed.',
    'Kompostier befallene Blätter nicht; folge bei allem Gespritzten dem Etikett.',
  ],
];
