"""The sentences of the reports in German, by their English. Places in braces are filled in; a test asks for each."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

#: One and many of what is counted, as they stand by themselves.
COUNTED: Final[Mapping[str, tuple[str, str]]] = {
    "round": ("Runde", "Runden"),
    "warning": ("Warnung", "Warnungen"),
    "treatment": ("Behandlung", "Behandlungen"),
}

_FRAME: Final = {
    "The week: {plot}": "Die Woche: {plot}",
    "The season {year}: {plot}": "Das Jahr {year}: {plot}",
    "Products used in {year}: {plot}": "Verwendete Mittel {year}: {plot}",
    "the plot": "die Parzelle",
    "{first} to {last}.": "{first} bis {last}.",
    "{low} to {high}": "{low} bis {high}",
    "{low} or more": "{low} oder mehr",
    "This plot is invented: nothing in it was measured.": "Diese Parzelle ist erfunden: Nichts darin wurde gemessen.",
    "Made by Underboard on {day} at {time} ({zone}). Intervals are 95 %: in 19 of 20 such cases they hold"
    " the true value. Methods: underboard calc --list.": (
        "Von Underboard erstellt am {day} um {time} ({zone}). Bereiche sind 95-%-Bereiche: In 19 von 20 "
        "solchen Fällen enthalten sie den wahren Wert. Verfahren: underboard calc --list."
    ),
    "yes": "ja",
    "no: {why}": "nein: {why}",
    "not known": "nicht bekannt",
    "Slugs": "Schnecken",
    "Temperatures": "Temperaturen",
    "Wireworm traps": "Drahtwurmfallen",
    "Treatments": "Behandlungen",
    "Warnings": "Warnungen",
    "What to do": "Was zu tun ist",
    "Wireworms: what each bed may carry": "Drahtwürmer: was jedes Beet tragen darf",
    "Treatments and their evidence": "Behandlungen und was für sie spricht",
    "Harvest and damage": "Ernte und Schaden",
    "How good the warnings were": "Wie gut die Warnungen waren",
    "What to change": "Was zu ändern ist",
    "Record": "Aufzeichnung",
    "Take care": "Vorsicht",
    "Wear gloves for slugs, slime and brews, and wash your hands; keep children and dogs away from both. "
    "Follow the label, local law and licensed advice; this report replaces none of them.": (
        "Trage Handschuhe bei Schnecken, Schleim und Ansätzen und wasch dir die Hände; halte Kinder und "
        "Hunde von beidem fern. Halte dich an das Etikett, das Recht vor Ort und zugelassene Beratung; "
        "dieser Bericht ersetzt nichts davon."
    ),
    "A home brew is unidentified and unproven: never on leaves that will be eaten, never to be sold or "
    "passed on; releasing animals that are not native needs a licence in England and Wales.": (
        "Ein eigener Ansatz ist unbestimmt und unbewiesen: nie auf Blätter, die gegessen werden, nie "
        "verkaufen oder weitergeben; nicht heimische Tiere freizulassen braucht in England und Wales eine"
        " Genehmigung."
    ),
    "Slug pellets with metaldehyde may not be sold or used in Great Britain since 2022.": (
        "Schneckenkorn mit Metaldehyd darf in Großbritannien seit 2022 weder verkauft noch verwendet werden."
    ),
    "Covers, heaters and paraffin in tunnels bring fire and carbon monoxide.": (
        "Abdeckungen, Heizer und Petroleum im Folientunnel bringen Feuer und Kohlenmonoxid."
    ),
}
_SLUGS: Final = {
    "no valid round": "keine gültige Runde",
    "{mean} slugs a board ({rounds}, too few for an interval)": (
        "{mean} Schnecken je Brett ({rounds}, zu wenige für einen Bereich)"
    ),
    "{mean} slugs a board (95 % interval {span}, {rounds})": (
        "{mean} Schnecken je Brett (95-%-Bereich {span}, {rounds})"
    ),
    "No valid dawn round was walked, so nothing is known of slugs. That is not the same as none.": (
        "Keine gültige Morgenrunde wurde gegangen, über Schnecken ist also nichts bekannt. Das heißt "
        "nicht, dass keine da sind."
    ),
    "No dawn round was walked, so nothing is known of slugs.": (
        "Keine Morgenrunde wurde gegangen, über Schnecken ist also nichts bekannt."
    ),
    "This week: {week}. The four weeks before: {before}.": "Diese Woche: {week}. Die vier Wochen davor: {before}.",
    "That is too little to tell whether it changed.": "Das ist zu wenig, um zu sagen, ob sich etwas geändert hat.",
    "That is more than before, beyond what chance explains.": "Das ist mehr als davor, mehr als der Zufall erklärt.",
    "That is less than before, beyond what chance explains.": (
        "Das ist weniger als davor, mehr als der Zufall erklärt."
    ),
    "The intervals overlap: no clear change.": "Die Bereiche überlappen: keine klare Änderung.",
    "Round": "Runde",
    "Boards looked under": "Bretter nachgesehen",
    "Slugs a board, mean (95 %)": "Schnecken je Brett, Mittel (95 %)",
    "Boards not turned": "Bretter nicht gewendet",
    "Boards spoiled": "Bretter verdorben",
    "Boards disputed": "Bretter strittig",
    "Valid": "Gültig",
    "Boards not turned, spoiled or disputed are left out of means; a board with none counts as 0.": (
        "Nicht gewendete, verdorbene oder strittige Bretter zählen nicht ins Mittel; ein Brett ohne "
        "Schnecken zählt als 0."
    ),
    "no reason given": "ohne Grund",
    "disturbed": "gestört",
    "surface dry": "Oberfläche trocken",
    "slugs a board": "Schnecken je Brett",
    "Mean of each valid dawn round with its 95 % interval, slugs a board, {first} to {last}. Dashed lines"
    " are treatments; no line is drawn over more than 14 days without a round.": (
        "Mittel jeder gültigen Morgenrunde mit seinem 95-%-Bereich, Schnecken je Brett, {first} bis "
        "{last}. Gestrichelt: Behandlungen; über mehr als 14 Tage ohne Runde wird keine Linie gezogen."
    ),
    "no place given": "ohne Ort",
    "Where the intervals overlap, the order of the beds may be chance.": (
        "Wo die Bereiche überlappen, kann die Reihenfolge der Beete Zufall sein."
    ),
    "Place": "Ort",
    "Rounds": "Runden",
    "Slugs a board, mean of rounds (95 %)": "Schnecken je Brett, Mittel der Runden (95 %)",
    "Month": "Monat",
    "Valid rounds": "Gültige Runden",
    "Slugs a board (95 %)": "Schnecken je Brett (95 %)",
    "A year before (95 %)": "Ein Jahr davor (95 %)",
}
_TEMPERATURES: Final = {
    "freezing": "Gefrierpunkt",
    "Lowest temperatures as read, °C, {first} to {last}, up to four thermometers.": (
        "Tiefste Temperaturen wie abgelesen, °C, {first} bis {last}, bis zu vier Thermometer."
    ),
    "Thermometer": "Thermometer",
    "Lowest, °C": "Tiefste, °C",
    "On": "Am",
    "Highest, °C": "Höchste, °C",
    "Readings": "Ablesungen",
    "As read; a garden thermometer is good to about 1 °C (common practice, no source).": (
        "Wie abgelesen; ein Gartenthermometer stimmt auf etwa 1 °C (übliche Praxis, ohne Quelle)."
    ),
    "No thermometer was read.": "Kein Thermometer wurde abgelesen.",
}
_WARNED: Final = {
    "it happened": "es kam so",
    "it did not happen": "es kam nicht so",
    "nobody said": "niemand hat es gesagt",
    "Raised": "Gewarnt am",
    "Rule": "Regel",
    "What it said": "Was sie sagte",
    "What came": "Was kam",
    "None was raised.": "Es gab keine.",
    "too few to tell": "zu wenige",
    "No rule could be judged yet: answer warnings in the app when you know what came.": (
        "Noch ließ sich keine Regel beurteilen: Beantworte Warnungen in der App, sobald du weißt, was kam."
    ),
    "Came and warned of": "Kam, mit Warnung",
    "Came unwarned": "Kam ohne Warnung",
    "Warned for nothing": "Umsonst gewarnt",
    "Neither": "Weder noch",
    "Of what came, warned of (95 %)": "Anteil mit Warnung an dem, was kam (95 %)",
    "Of warnings, for nothing (95 %)": "Anteil umsonst an den Warnungen (95 %)",
    "No warning stands.": "Es steht keine Warnung.",
    "The records suggest nothing to change.": "Die Einträge legen keine Änderung nahe.",
    "{rule}: {warnings} for nothing and {hits} that came true. A higher threshold would warn less often; "
    "try it with `underboard replay` before you change it.": (
        "{rule}: {warnings} umsonst und {hits} eingetroffen. Eine höhere Schwelle würde seltener warnen; "
        "probier es mit `underboard replay`, bevor du sie änderst."
    ),
    "{rule}: {missed} came unwarned, {hits} were warned of. A lower threshold would warn more.": (
        "{rule}: {missed} kamen ohne Warnung, {hits} mit. Eine niedrigere Schwelle würde öfter warnen."
    ),
    "{board} ({n} of {of} times)": "{board} ({n} von {of} Malen)",
    "Often not turned or spoiled: {boards}. A better spot would tell more.": (
        "Oft nicht gewendet oder verdorben: {boards}. Ein besserer Platz würde mehr zeigen."
    ),
    "{treatments} without an untreated place named beside it, so nobody can tell what it did. Leave one "
    "bed untreated next time.": (
        "{treatments} ohne genannten unbehandelten Ort daneben, also kann niemand sagen, was es bewirkt "
        "hat. Lass nächstes Mal ein Beet unbehandelt."
    ),
    "The longest time without a valid round was {n} days; slug pressure in between is not known.": (
        "Die längste Zeit ohne gültige Runde waren {n} Tage; der Schneckendruck dazwischen ist nicht bekannt."
    ),
    "One round alone shows no trend: walk more of them.": "Eine Runde allein zeigt keinen Verlauf: Geh mehr davon.",
}
_WORK: Final = {
    "nematodes": "Nematoden",
    "brew": "eigener Ansatz",
    "mulch": "Mulch",
    "cultivation": "Bodenbearbeitung",
    "cover": "Abdeckung",
    "hand collection": "Absammeln",
    "pellets": "Schneckenkorn",
    "watering": "Gießen",
    "other": "anderes",
    "none named": "keiner genannt",
    "None was recorded.": "Keine wurde eingetragen.",
    "When": "Wann",
    "What": "Was",
    "Where": "Wo",
    "Untreated beside it": "Unbehandelt daneben",
    "What the boards say": "Was die Bretter sagen",
    "Boards are not meant to judge this.": "Bretter sollen das nicht beurteilen.",
    "No product was recorded in this time.": "In dieser Zeit wurde kein Mittel eingetragen.",
    "Growers who use plant protection products for their work must keep for three years the name of the "
    "product, time and dose, area and crop (Regulation (EC) No 1107/2009, Article 67). What that list "
    "lacks is named in the last column; mend it in the app, under Diary.": (
        "Wer beruflich Pflanzenschutzmittel verwendet, muss drei Jahre lang Mittel, Zeit und Menge, "
        "Fläche und Kultur aufbewahren (Verordnung (EG) Nr. 1107/2009, Artikel 67). Was dieser Liste "
        "fehlt, steht in der letzten Spalte; ergänze es in der App, unter Tagebuch."
    ),
    "Date and time": "Datum und Zeit",
    "Product (authorisation no.)": "Mittel (Zulassungsnr.)",
    "Where, and crop": "Wo, und Kultur",
    "Area, m²": "Fläche, m²",
    "Amount used": "Menge",
    "Rate a m²": "Je m²",
    "Water, l": "Wasser, l",
    "Harvest interval, days": "Wartezeit, Tage",
    "Not to be harvested before": "Keine Ernte vor",
    "By": "Von",
    "Missing": "Fehlt",
    "product": "Mittel",
    "authorisation number": "Zulassungsnummer",
    "place": "Ort",
    "area": "Fläche",
    "amount": "Menge",
    "harvest interval": "Wartezeit",
    "million": "Millionen",
    "imperial pint": "imperial Pint",
    "imperial gallon": "imperial Gallone",
    "none found": "keine gefunden",
    "not lifted": "nicht gehoben",
    "spoiled": "verdorben",
    "they lay less than 10 days": "lag weniger als 10 Tage",
    "they lay more than 14 days": "lag mehr als 14 Tage",
    "the soil was not above 8 °C": "Boden nicht über 8 °C",
    "they were spoiled or not searched": "verdorben oder nicht durchsucht",
    "nobody wrote down when they were set": "Setztag nicht aufgeschrieben",
    "the soil temperature at lifting is not known": "Bodentemperatur beim Heben nicht bekannt",
    "No trap was lifted.": "Keine Falle wurde gehoben.",
    "Lifted": "Gehoben",
    "Trap": "Falle",
    "Bed": "Beet",
    "Wireworms": "Drahtwürmer",
    "Soil, °C": "Boden, °C",
    "Valid (10 to 14 days, soil above 8 °C)": "Gültig (10 bis 14 Tage, Boden über 8 °C)",
    "No bed has a trap or core that counts, so nothing is known of wireworms. That is not the same as "
    "none.": (
        "Kein Beet hat eine Falle oder einen Bohrkern, der zählt, über Drahtwürmer ist also nichts "
        "bekannt. Das heißt nicht, dass keine da sind."
    ),
    "Bed, and what it may carry": "Beet, und was es tragen darf",
    "What that rests on": "Worauf das beruht",
    "Crop": "Kultur",
    "Harvest, kg": "Ernte, kg",
    "Times": "Male",
    "No harvest and no damage was recorded.": "Weder Ernte noch Schaden wurde eingetragen.",
    "Crop or place": "Kultur oder Ort",
    "Cause": "Ursache",
    "Examined": "Untersucht",
    "Damaged": "Beschädigt",
    "Share damaged (95 %)": "Anteil beschädigt (95 %)",
}

WORDS: Final[Mapping[str, str]] = {**_FRAME, **_SLUGS, **_TEMPERATURES, **_WARNED, **_WORK}
