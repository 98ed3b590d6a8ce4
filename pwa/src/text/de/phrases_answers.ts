import type { Phrase } from '../phrases';

/** What the server answers when it does not take something, and what is wrong with a value. */
export const answers: readonly Phrase[] = [
  // Titles (web/problems.py)
  ["The request can't be read", 'Die Anfrage ist nicht zu lesen'],
  ["This device isn't paired", 'Dieses Gerät ist nicht gekoppelt'],
  ['Not allowed for this device', 'Für dieses Gerät nicht erlaubt'],
  ['The request came from another page', 'Die Anfrage kam von einer anderen Seite'],
  ['Only by https', 'Nur über https'],
  ['Not found', 'Nicht gefunden'],
  ["That can't be done here", 'Das geht hier nicht'],
  ['Not available in that form', 'In dieser Form nicht zu haben'],
  ['The server was restored from a backup', 'Der Server wurde aus einer Sicherung zurückgeholt'],
  ['The app on this device is too old', 'Die App auf diesem Gerät ist zu alt'],
  ['Too long away: start again from the beginning', 'Zu lange weg: Fang von vorn an'],
  ['No longer here', 'Nicht mehr hier'],
  ['The length of the body is missing', 'Die Länge des Inhalts fehlt'],
  ['Too large', 'Zu groß'],
  ['Not a kind of data taken here', 'Diese Art von Daten wird hier nicht angenommen'],
  ['Value not allowed', 'Wert nicht erlaubt'],
  ["The photo can't be taken in", 'Das Foto kann nicht angenommen werden'],
  ['The photo arrived damaged', 'Das Foto kam beschädigt an'],
  ['Too many requests', 'Zu viele Anfragen'],
  ['The server made a mistake', 'Der Server hat einen Fehler gemacht'],
  ['The server is busy', 'Der Server ist beschäftigt'],
  ["The server's disk is full", 'Die Platte des Servers ist voll'],
  ["The server's disk has trouble", 'Die Platte des Servers macht Ärger'],
  ['The photo storage does not answer', 'Der Speicher für Fotos antwortet nicht'],
  [
    "The storage that holds the photos can't be used now. Your device keeps its photos and sends them later; on the server, underboard doctor says what it is.",
    'Der Speicher, in dem die Fotos liegen, ist gerade nicht erreichbar. Dein Gerät behält seine Fotos und schickt sie später; auf dem Server sagt underboard doctor, woran es liegt.',
  ],
  // Photos
  ['A photo has at most 12 MiB: send it smaller.', 'Ein Foto hat höchstens 12 MiB: Schick es kleiner.'],
  [
    'The photo is too large: at most {what}. Send it smaller.',
    'Das Foto ist zu groß: höchstens {what}. Schick es kleiner.',
  ],
  [
    'The photo arrived damaged: its bytes do not match its name. Send it again.',
    'Das Foto kam beschädigt an: Sein Inhalt passt nicht zu seinem Namen. Schick es noch einmal.',
  ],
  ['That is not a whole JPEG, PNG or WebP picture.', 'Das ist kein ganzes Bild in JPEG, PNG oder WebP.'],
  [
    'The photo still tells where it was taken. Send it without its location data.',
    'Das Foto verrät noch, wo es entstand. Schick es ohne seine Ortsangaben.',
  ],
  [
    'The phone no longer has this photo as it was taken.',
    'Das Handy hat dieses Foto nicht mehr so, wie es aufgenommen wurde.',
  ],
  ['Too many photos at once: wait a little.', 'Zu viele Fotos auf einmal: Warte etwas.'],
  [
    "A photo's name is the SHA-256 of its bytes, 64 hexadecimal digits.",
    'Der Name eines Fotos ist der SHA-256 seines Inhalts, 64 Hexadezimalziffern.',
  ],
  ['This plot has no such photo.', 'Diese Parzelle hat kein solches Foto.'],
  // Pairing and devices
  [
    'That pairing code is not known. Ask for a new one with `underboard pair`.',
    'Diesen Kopplungscode gibt es nicht. Lass dir mit `underboard pair` einen neuen geben.',
  ],
  [
    'That pairing code has run out: it holds for ten minutes. Ask for a new one.',
    'Dieser Kopplungscode ist abgelaufen: Er gilt zehn Minuten. Lass dir einen neuen geben.',
  ],
  [
    'That pairing code has been used. Each code lets in one device: ask for a new one.',
    'Dieser Kopplungscode ist verbraucht. Jeder lässt ein Gerät herein: Lass dir einen neuen geben.',
  ],
  [
    'Too many wrong tries at this code. Ask for a new one with `underboard pair`.',
    'Zu viele falsche Versuche mit diesem Code. Lass dir mit `underboard pair` einen neuen geben.',
  ],
  [
    'Too many wrong codes from here: wait, then try again.',
    'Zu viele falsche Codes von hier: Warte und versuch es dann noch einmal.',
  ],
  ['There is no such plot here.', 'Diese Parzelle gibt es hier nicht.'],
  [
    "A {role} of this plot can't do that: ask the owner.",
    'Dazu fehlt dir auf dieser Parzelle das Recht: Frag, wem sie gehört.',
  ],
  [
    "This device isn't paired with a plot: pair it first.",
    'Dieses Gerät ist mit keiner Parzelle gekoppelt: Kopple es zuerst.',
  ],
  [
    "This device isn't known here, or was removed: pair it again.",
    'Dieses Gerät ist hier nicht bekannt oder wurde entfernt: Kopple es neu.',
  ],
  ['This plot has no device {id}.', 'Diese Parzelle hat kein solches Gerät.'],
  ['There is no such record in this plot.', 'Diesen Eintrag gibt es auf dieser Parzelle nicht.'],
  // Sync
  ['Send JSON with Content-Type: application/json.', 'Schick JSON mit Content-Type: application/json.'],
  ["The push can't be read: {why}", 'Die Sendung ist nicht zu lesen: {why}'],
  [
    'That is not a cursor of this server. Pull once without a cursor.',
    'Dieses Lesezeichen stammt nicht von diesem Server. Hol einmal ohne Lesezeichen.',
  ],
  [
    'The server could not store this one. It stays on the phone and is tried again later.',
    'Der Server konnte das nicht ablegen. Es bleibt auf dem Handy und wird später wieder versucht.',
  ],
  ['This device syncs too often: wait a little.', 'Dieses Gerät gleicht zu oft ab: Warte etwas.'],
  [
    'The server is busy writing. Try again in a few seconds.',
    'Der Server schreibt gerade. Versuch es in ein paar Sekunden noch einmal.',
  ],
  [
    'The database is busy: try again in a few seconds.',
    'Die Datenbank ist beschäftigt: Versuch es in ein paar Sekunden noch einmal.',
  ],
  [
    "The server's disk is full. Make room, then send again: the phone keeps everything.",
    'Die Platte des Servers ist voll. Schaff Platz und schick dann noch einmal: Das Handy behält alles.',
  ],
  [
    "The server's disk is full: nothing was stored, keep your records and free some space.",
    'Die Platte des Servers ist voll: Nichts wurde abgelegt; behalt deine Einträge und schaff Platz.',
  ],
  [
    "The server can't read or write its disk. Phones keep their records; on the server, `underboard doctor` says what it is.",
    'Der Server kann seine Platte nicht lesen oder beschreiben. Handys behalten ihre Einträge; auf dem Server sagt `underboard doctor`, woran es liegt.',
  ],
  [
    'The server was restored from a backup. Pull everything again, then send your records.',
    'Der Server wurde aus einer Sicherung zurückgeholt. Hol alles neu und schick dann deine Einträge.',
  ],
  [
    'This phone was away for longer than deletions are kept. Pull everything again, without a cursor.',
    'Dieses Handy war länger weg, als Löschungen aufbewahrt werden. Hol alles neu.',
  ],
  [
    'This server speaks record schemas {low} to {high}. Update the app, then send again.',
    'Dieser Server versteht die Formen {low} bis {high}. Erneuere die App und schick dann noch einmal.',
  ],
  ['At most {n} KiB can be sent at once: send less.', 'Höchstens {n} KiB auf einmal: Schick weniger.'],
  [
    'Something went wrong inside the server. Nothing you entered is lost on your device; try again later.',
    'Im Server ging etwas schief. Auf deinem Gerät ist nichts verloren; versuch es später noch einmal.',
  ],
  ['There is nothing at this address.', 'Unter dieser Adresse gibt es nichts.'],
  ["Some values can't be taken: see errors.", 'Einige Werte werden nicht angenommen: siehe die Fehler.'],
  // Ways of a warning
  [
    '{n} addresses are the most: take one off first.',
    'Mehr als {n} Adressen gehen nicht: Nimm erst eine heraus.',
  ],
  ['Too many trials: wait a little.', 'Zu viele Versuche: Warte etwas.'],
  ['Too many changes at once: wait a little.', 'Zu viele Änderungen auf einmal: Warte etwas.'],
  [
    'Nothing can be sent there: it is not known, or it was stopped.',
    'Dorthin geht nichts: Es ist nicht bekannt oder wurde abgestellt.',
  ],
  // What is wrong with a value (core/records)
  ['must be given', 'muss angegeben werden'],
  ['a counted board needs its number, 0 to 9999', 'ein gezähltes Brett braucht seine Zahl, 0 bis 9999'],
  ['none_found does not go with a count above 0', '„nichts gefunden“ passt nicht zu einer Zahl über 0'],
  ['{from} to {to} letters', '{from} bis {to} Zeichen'],
  ['text without characters that cannot be stored', 'Text ohne Zeichen, die sich nicht ablegen lassen'],
  ['a whole number, {range}', 'eine ganze Zahl, {range}'],
  ['a number, {range}', 'eine Zahl, {range}'],
  ['a number', 'eine Zahl'],
  ['true or false', 'wahr oder falsch'],
  [
    'a date and time with offset, such as 2026-03-29T06:40:00+01:00',
    'Tag und Uhrzeit mit Zeitverschiebung, etwa 2026-03-29T06:40:00+01:00',
  ],
  ['a date, such as 2026-03-29', 'ein Tag, etwa 2026-03-29'],
  ['an IANA time zone, such as Europe/London', 'eine Zeitzone, etwa Europe/Berlin'],
  ['the id of a record: a UUID in lower case', 'die Kennung eines Eintrags: eine UUID in Kleinbuchstaben'],
  ['one of {choices}', 'eines von {choices}'],
  ['a list of different ones of {choices}', 'eine Liste verschiedener von {choices}'],
  ['a list of at most {n} {what}', 'eine Liste von höchstens {n}'],
  ['64 hex digits', '64 Hexadezimalziffern'],
  ['a corner [x, y] in metres', 'eine Ecke [x, y] in Metern'],
  ['{low} to {high}', '{low} bis {high}'],
  ['an object', 'ein Objekt'],
  ['text', 'Text'],
];
