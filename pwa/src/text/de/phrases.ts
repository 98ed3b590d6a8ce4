import type { Phrase } from '../phrases';

/** Of warnings (server/underboard/core/warnings) and calculations (agronomy/): a test holds the English side fresh. */
export const phrases: readonly Phrase[] = [
  // Frost: headlines
  [
    'Frost may hurt {kind} {where} in {night}: about {low} there ({band}), chance {p}; {more} at risk too.',
    'Frost kann {kind} {where} in {night} schaden: dort etwa {low} ({band}), Wahrscheinlichkeit {p}; {more} auch in Gefahr.',
  ],
  [
    'Frost may hurt {kind} {where} in {night}: about {low} there ({band}), chance {p}.',
    'Frost kann {kind} {where} in {night} schaden: dort etwa {low} ({band}), Wahrscheinlichkeit {p}.',
  ],
  [
    'Frost {where} in {night}: about {low} there ({band}), chance of frost {p}.',
    'Frost {where} in {night}: dort etwa {low} ({band}), Wahrscheinlichkeit für Frost {p}.',
  ],
  [
    'It may fall to {low} in {night} ({band} in the open): your own {limit} is met.',
    'Es kann in {night} auf {low} fallen ({band} im Freien): Deine eigene Grenze von {limit} ist erreicht.',
  ],
  // Frost: what to do, what to mind
  [
    'Commonly done: fleece or straw over tender plants before dark and off again in the morning, soil drawn up over potato shoots, pots carried inside.',
    'Üblich: Vlies oder Stroh vor der Dunkelheit über Empfindliches und morgens wieder herunter, Kartoffeltriebe mit Erde anhäufeln, Töpfe ins Haus tragen.',
  ],
  [
    'In tunnel and frame: close before sunset, a second layer of fleece inside, clear of the leaves.',
    'In Folientunnel und Frühbeet: vor Sonnenuntergang schließen, innen eine zweite Lage Vlies, ohne dass sie die Blätter berührt.',
  ],
  [
    'Commonly done: leave hurt plants shaded and dry until noon, cut back what has gone black after a few days, and write down what was hurt, so that the next warning can be judged.',
    'Üblich: geschädigte Pflanzen bis Mittag schattig und trocken lassen, nach ein paar Tagen zurückschneiden, was schwarz geworden ist, und aufschreiben, was gelitten hat, damit sich die nächste Warnung beurteilen lässt.',
  ],
  [
    'On a clear, still night it can be colder under a cover than outside, so keep covers off the leaves and look at the thermometer inside.',
    'In einer klaren, stillen Nacht kann es unter einer Abdeckung kälter sein als draußen; halte Abdeckungen von den Blättern fern und sieh aufs Thermometer darunter.',
  ],
  [
    'Heaters, candles and paraffin in a tunnel can start a fire and give off carbon monoxide: not in a closed space, never left alone.',
    'Heizer, Kerzen und Petroleum in einem Folientunnel können ein Feuer entfachen und Kohlenmonoxid abgeben: nicht in geschlossenem Raum, nie unbeaufsichtigt.',
  ],
  ['Mind ice on paths at dawn.', 'Achte im Morgengrauen auf Eis auf den Wegen.'],
  // Frost: why
  ['At {at} it was {air}, {dew}.', 'Um {at} waren es {air}, {dew}.'],
  [
    'That gives a lowest of {low} in the open ({level} % interval {band}), from clear nights at four public stations: not fitted to your plot yet.',
    'Das ergibt im Freien einen tiefsten Wert von {low} ({level}-%-Bereich {band}), aus klaren Nächten von vier öffentlichen Stationen: noch nicht auf deine Parzelle abgestimmt.',
  ],
  [
    'That gives a lowest of {low} in the open ({level} % interval {band}), by the usual drop of {nights} of this plot.',
    'Das ergibt im Freien einen tiefsten Wert von {low} ({level}-%-Bereich {band}), nach dem üblichen Abfall aus {nights} dieser Parzelle.',
  ],
  [
    'That gives a lowest of {low} in the open ({level} % interval {band}), by evening and dew point of {nights} of this plot.',
    'Das ergibt im Freien einen tiefsten Wert von {low} ({level}-%-Bereich {band}), nach Abend und Taupunkt aus {nights} dieser Parzelle.',
  ],
  ['Since then {low} was read in the open.', 'Seither wurden im Freien {low} abgelesen.'],
  [
    '{place} is counted {degrees} warmer than the open, the cautious end of its own nights.',
    '{place} gilt als um {degrees} wärmer als das Freie, das vorsichtige Ende seiner eigenen Nächte.',
  ],
  [
    '{place} is counted {degrees} colder than the open, the cautious end of its own nights.',
    '{place} gilt als um {degrees} kälter als das Freie, das vorsichtige Ende seiner eigenen Nächte.',
  ],
  [
    'Covering costs {cost}, the harm {loss}: it pays above a chance of {share}.',
    'Abdecken kostet {cost}, der Schaden {loss}: Es lohnt sich über einer Wahrscheinlichkeit von {share}.',
  ],
  ['You asked to be told at {limit}.', 'Du wolltest es bei {limit} wissen.'],
  [
    'The evening is {seen}; if it clears up, it becomes colder than this.',
    'Der Abend ist nicht klar und still; klart es auf, wird es kälter als hier gesagt.',
  ],
  [
    'The evening is {seen}: the estimate is for clear, calm nights, so it will most likely stay warmer than this.',
    'Der Abend ist nicht klar und still: Die Schätzung gilt für klare, stille Nächte, also bleibt es höchstwahrscheinlich wärmer als hier gesagt.',
  ],
  [
    'No damage temperature is known here for {kinds}: set a temperature of your own if it is tender.',
    'Für {kinds} ist hier keine Schadenstemperatur bekannt: Stell eine eigene Temperatur ein, wenn es empfindlich ist.',
  ],
  [
    'The reading belongs two hours after sunset; this one is {hours} h earlier, so it may become colder than this.',
    'Die Messung gehört zwei Stunden nach Sonnenuntergang; diese kam {hours} h früher, es kann also kälter werden als hier gesagt.',
  ],
  [
    'The reading belongs two hours after sunset; this one is {hours} h later, so it may not become as cold.',
    'Die Messung gehört zwei Stunden nach Sonnenuntergang; diese kam {hours} h später, es wird also vielleicht nicht so kalt.',
  ],
  // Cautions of the frost calculation
  [
    'Holds for clear, calm, dry nights only; cloud or wind keeps it warmer.',
    'Gilt nur für klare, stille, trockene Nächte; Wolken oder Wind halten es wärmer.',
  ],
  [
    'This evening lies outside the nights it was fitted on: take the figure as a guess.',
    'Dieser Abend liegt außerhalb der Nächte, aus denen es stammt: Nimm die Zahl als Schätzung.',
  ],
  [
    'The fit does not carry the spread of its nights; the interval is a little too narrow.',
    'Die Streuung der Nächte ist nicht mit dabei; der Bereich ist etwas zu eng.',
  ],
  // Ground frost
  [
    'Ground frost in {night}: about {figure} at the grass, chance of harm {p}.',
    'Bodenfrost in {night}: am Gras etwa {figure}, Wahrscheinlichkeit für Schaden {p}.',
  ],
  [
    'The ground may freeze in {night}: air down to about {air} on a clear night.',
    'Der Boden kann in {night} gefrieren: Luft bis hinab auf etwa {air} in einer klaren Nacht.',
  ],
  [
    'Commonly done: fleece over seedlings and low, tender plants before dark, soil over potato shoots.',
    'Üblich: Vlies vor der Dunkelheit über Sämlinge und niedrige, empfindliche Pflanzen, Erde über Kartoffeltriebe.',
  ],
  // Evening reading missing
  [
    'No evening reading yet for {night}: without it the night cannot be foretold.',
    'Für {night} gibt es noch keine Abendmessung: Ohne sie lässt sich die Nacht nicht vorhersagen.',
  ],
  [
    'No evening reading yet for {night}: it may fall to about {figure}, chance of harm {p}.',
    'Für {night} gibt es noch keine Abendmessung: Es kann auf etwa {figure} fallen, Wahrscheinlichkeit für Schaden {p}.',
  ],
  [
    'Read air and wet bulb (or dew point) in the open now, and note sky and wind: that narrows it.',
    'Miss jetzt im Freien Luft- und Feuchttemperatur (oder Taupunkt), und vermerk Himmel und Wind: Das engt es ein.',
  ],
  [
    'Look where you step in the dark; a lamp beside the thermometer warms it.',
    'Sieh im Dunkeln, wohin du trittst; eine Lampe neben dem Thermometer wärmt es.',
  ],
  // Heat
  [
    'Commonly done: doors and vents open from the morning, shade, wet paths, water early.',
    'Üblich: Türen und Klappen vom Morgen an offen, schattieren, Wege nässen, früh gießen.',
  ],
  [
    'Do not work long in a hot tunnel, and drink; whitewash and shade cloth are put up from firm ladders.',
    'Arbeite nicht lange in einem heißen Folientunnel, und trink; Kalkanstrich und Schattiergewebe von festen Leitern aus anbringen.',
  ],
  // Surge
  [
    'Growers commonly hand-pick at dusk for some nights, hold back planting out seedlings, guard young plants, and water in nematodes if the soil is right.',
    'Üblich: einige Abende in der Dämmerung absammeln, Sämlinge noch nicht auspflanzen, junge Pflanzen schützen und, wenn der Boden passt, Nematoden ausgießen.',
  ],
  [
    'Turn the boards again on the next moist morning.',
    'Dreh die Bretter am nächsten feuchten Morgen wieder um.',
  ],
  [
    'More than usual for these boards; it is no damage threshold.',
    'Mehr als sonst für diese Bretter; eine Schadensschwelle ist das nicht.',
  ],
  [
    'Gloves, and wash hands: slugs and slime can carry lungworm.',
    'Handschuhe, und Hände waschen: Schnecken und Schleim können Lungenwürmer tragen.',
  ],
  [
    'Keep children and dogs away from pellets; follow the label.',
    'Kinder und Hunde von Schneckenkorn fernhalten; dem Etikett folgen.',
  ],
  // Threshold
  [
    'Growers commonly hold back planting out, hand-pick at dusk, or treat what they meant to treat.',
    'Üblich: mit dem Auspflanzen warten, in der Dämmerung absammeln oder behandeln, was ohnehin behandelt werden sollte.',
  ],
  ['Gloves, and wash hands.', 'Handschuhe, und Hände waschen.'],
  [
    'Follow the label of anything you put down; keep children and dogs away.',
    'Folge dem Etikett von allem, was du ausbringst; Kinder und Hunde fernhalten.',
  ],
  // Traps
  [
    '{traps} set on {day} at {where}: lift by {last}.',
    '{traps}, gesetzt am {day} bei {where}: bis {last} heben.',
  ],
  [
    'Search the bait and the soil around it, count wireworms apart from millipedes, leatherjackets and centipedes, write down the soil temperature, and bait anew if more traps are wanted.',
    'Durchsuche den Köder und den Boden darum, zähl Drahtwürmer getrennt von Tausendfüßern, Schnakenlarven und Hundertfüßern, schreib die Bodentemperatur auf, und beködere neu, wenn mehr Fallen nötig sind.',
  ],
  ['Gloves; wash hands.', 'Handschuhe; Hände waschen.'],
  [
    'A trap with nothing in it does not show that the bed has none.',
    'Eine leere Falle zeigt nicht, dass das Beet keine hat.',
  ],
  // House
  [
    'No round was walked on {day}; the last was on {last}.',
    'Am {day} ging niemand eine Runde; die letzte war am {last}.',
  ],
  [
    'Walk the next moist, mild morning: a gap makes a rise harder to see.',
    'Geh am nächsten feuchten, milden Morgen: Eine Lücke macht einen Anstieg schwerer erkennbar.',
  ],
  [
    'Boards at dawn: gloves, wash hands, and mind wet planks and ice.',
    'Bretter im Morgengrauen: Handschuhe, Hände waschen, auf nasse Bretter und Eis achten.',
  ],
  ['{name} has not synced since {day}.', '{name} hat seit {day} nicht abgeglichen.'],
  [
    'What was recorded on it since then is on that phone alone, and nobody else sees it.',
    'Was seither darauf eingetragen wurde, ist nur auf diesem Handy, und niemand sonst sieht es.',
  ],
  [
    'Open the app on it at home. If it is lost, take it off the list of devices.',
    'Öffne die App darauf zu Hause. Ist es verloren, nimm es aus der Liste der Geräte.',
  ],
  [
    "Do not clear the browser's data on it before it has synced.",
    'Lösch die Daten des Browsers darauf nicht, bevor es abgeglichen hat.',
  ],
  ['The newest backup is of {day}.', 'Die neueste Sicherung ist vom {day}.'],
  [
    'There is no backup yet; the first record is of {day}.',
    'Es gibt noch keine Sicherung; der erste Eintrag ist vom {day}.',
  ],
  [
    "If the server's disk fails, what the phones no longer hold since then is lost.",
    'Versagt die Platte des Servers, ist verloren, was die Handys seither nicht mehr haben.',
  ],
  [
    'Look at the thermometer again, correct the reading, or reset it.',
    'Sieh noch einmal aufs Thermometer, berichtige die Ablesung, oder stell es zurück.',
  ],
  // Checks before nematodes are watered in
  [
    'The soil is {soil} °C; they need at least 5 °C.',
    'Der Boden hat {soil} °C; sie brauchen mindestens 5 °C.',
  ],
  ['The soil is {soil} °C; above 25 °C they fail.', 'Der Boden hat {soil} °C; über 25 °C versagen sie.'],
  [
    'The soil is {soil} °C; above 20 °C they work poorly: wait for a cooler spell.',
    'Der Boden hat {soil} °C; über 20 °C wirken sie schlecht: Warte auf kühlere Tage.',
  ],
  [
    'The soil is dry: water it well first, and keep it moist for two weeks after (from memory).',
    'Der Boden ist trocken: Gieß ihn erst gut, und halt ihn danach zwei Wochen feucht (aus dem Gedächtnis).',
  ],
  ['Outdoors the season is March to October.', 'Im Freien ist die Zeit dafür März bis Oktober.'],
  [
    'The last application, {days} days ago, is still active; it lasts about six weeks.',
    'Die letzte Anwendung, vor {days} Tagen, wirkt noch; sie hält etwa sechs Wochen.',
  ],
  ['Soil warmth, moisture and timing are right.', 'Bodenwärme, Feuchte und Zeitpunkt passen.'],
  // Air moisture
  [
    'Below 0 °C the wick may carry ice; this takes it as water.',
    'Unter 0 °C kann am Docht Eis sein; gerechnet ist mit Wasser.',
  ],
  [
    'Below 0 °C this is the dew point over water; frost forms at a slightly higher temperature.',
    'Unter 0 °C ist das der Taupunkt über Wasser; Reif bildet sich bei etwas höherer Temperatur.',
  ],
];
