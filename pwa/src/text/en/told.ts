/** What sync and storage tell: needed whichever screen is open. */
export const told = {
  sync_idle: 'All on the server.',
  sync_syncing: 'Sending and fetching.',
  sync_not_home: 'Not at home: the server cannot be reached from here. Everything is kept on this phone.',
  sync_offline: 'No network. Everything is kept on this phone and goes out by itself at home.',
  sync_pair_again: 'The server does not know this phone any more. Pair it again; nothing on it is lost.',
  sync_update_needed:
    'This page and the server are of different ages. Reload the page at home, or update the server; nothing is lost.',
  sync_trouble: 'The server has trouble. Everything is kept on this phone; it tries again by itself.',
  disk_full: 'The server’s disk is full. Everything is kept on this phone; make room on the server.',
  not_paired: 'This phone is not paired with a server yet. What you record stays on it.',
  left_over: '{n} {n|record is|records are} only on this phone yet.',
  photos_follow: 'Records are on the server; photos follow.',
  other_server:
    'This phone holds records that its own server does not have yet, and this is another server. Sync at home or send them as a file first.',
  other_plot:
    'This phone holds unsent records of another plot. Sync them there or send them as a file first.',
  stranger: 'Something answered, but not an Underboard server. Join the home wifi.',
  no_answer: 'The server does not answer. Join the home wifi and try again.',
  not_stored: 'The phone could not store the pairing. Try again.',
  store_blocked: 'Underboard is open in another tab with an older version. Close the other tabs.',
  store_newer: 'A newer Underboard has been used here. Reload this page; nothing is lost.',
  store_full:
    'Not saved: the phone is full. Make room (photos, other apps), then save again. The form is kept.',
  store_dead:
    'Not saved: the phone’s storage does not answer. Close Underboard and open it again. The form is kept.',
} as const;
