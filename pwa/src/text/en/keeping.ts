export const keeping = {
  title: 'What is stored here',
  persisted: 'The browser has promised to keep it, even when the phone gets full.',
  may_clear:
    'The browser has promised nothing: when the phone gets full it may empty all that Underboard stores here, at once and without asking.',
  seven_days:
    'This browser also empties what a page stored when it was not opened for seven days of use, unless it is on the home screen.',
  at_stake:
    '{n} {n|record is|records are} only on this phone. Sync, or save the file above, before you rely on it.',
  nothing_at_stake: 'Everything here is on the server too, so nothing would be lost for good today.',
  refused: 'The browser said no. Most say yes once Underboard is on the home screen and used for a while.',
  used: '{mb} MB are used here.',
  share: 'That is {percent} % of what the browser would give us; the phone itself may be full sooner.',
  full: 'Nearly full: photos are no longer taken, so that counts still fit. Sync, then make room on the phone.',
  in_browser: 'Open in the browser, not from the home screen.',
  install: 'Put it on the home screen',
  why_install: 'It then starts with no network, fills the screen, and is kept longer by the phone.',
  install_now: 'Install Underboard',
  way_ios_safari: 'Tap Share (the square with the arrow), then Add to Home Screen, then Add.',
  way_ios_other:
    'Open this address in Safari. There tap Share (the square with the arrow), then Add to Home Screen.',
  way_android: 'Open the browser’s menu (the three dots), then Install app or Add to Home screen.',
  way_android_firefox: 'Open the menu (the three dots), then Install or Add app to Home screen.',
  way_desktop:
    'Press the install sign at the end of the address line, or find Install in the browser’s menu. Safari on a Mac: File, Add to Dock.',
  pair_inside:
    'On an iPhone the app on the home screen does not see what the browser stored: pair it there with a code of its own, and sync here before you change over.',
  program: 'The program',
  starts_offline: 'Starts with no network.',
  version: 'Version {version}, build {build}.',
  offered_never_forced:
    'A newer one is offered at the top of the screen and put on only when you tap Update. Records and half-filled forms stay as they are.',
  look: 'Look for a newer one',
  newest: 'This is the newest.',
  ready: 'A newer one is ready: tap Update at the top whenever it suits you.',
  unreached: 'The server could not be asked. What is here works on.',
} as const;
