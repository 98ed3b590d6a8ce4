export const parts = {
  back: 'Zurück',
  close: 'Schließen',
  cancel: 'Abbrechen',
  yes: 'Ja',
  no: 'Nein',
  minus_sign: 'Vorzeichen wechseln',
  decimal_point: 'Komma',
  delete_digit: 'Letzte Ziffer löschen',
  caution: 'Vorsicht',
  to: '{low} bis {high}',
};
