export const let_in = {
  open: 'Let another phone in',
  open_hint: 'A code from this phone, good for one other phone.',
  role: 'What may that phone do?',
  role_helper: 'Helper',
  role_helper_text: 'Counts, records, and corrects what was written.',
  role_owner: 'Owner',
  role_owner_text:
    'All of that; also lets phones in and cuts them off, yours too, and says where warnings are mailed.',
  role_reader: 'Reader',
  role_reader_text: 'Sees everything, writes nothing.',
  needs_server: 'The server makes the code, so it has to be in reach.',
  make: 'Make the code',
  making: 'Asking the server…',
  unreached:
    'The server cannot be reached from here, and it is the one that makes the code. Try again at home. Everything else on this phone goes on.',
  as_helper: 'Lets one phone in as helper.',
  as_owner: 'Lets one phone in as owner.',
  as_reader: 'Lets one phone in as reader.',
  address: 'Open this on the other phone',
  code: 'and type this code there',
  or_scan: 'or scan this with its camera',
  square: 'Picture code of the address with the code {code} in it',
  left: 'Good until {time}: {n} {n|minute|minutes} left.',
  run_out: 'This code has run out. Nobody comes in by it any more.',
  again: 'Make a new code',
  only_here:
    'This address is good on this computer only: no phone gets here by it. A phone needs a secure address of your household: the help page on phones has the steps.',
  trust:
    'Does that phone warn before the page opens? Then it does not trust your household yet. First open this on it and do the steps there:',
  home_screen:
    'Put Underboard on that phone’s home screen first and type the code there: the camera may open another browser.',
  came: '{name} is in.',
} as const;
