export const parts = {
  back: 'Back',
  close: 'Close',
  cancel: 'Cancel',
  yes: 'Yes',
  no: 'No',
  minus_sign: 'Change sign',
  decimal_point: 'Decimal point',
  delete_digit: 'Delete last digit',
  caution: 'Caution',
  to: '{low} to {high}',
} as const;
