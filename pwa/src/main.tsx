import { render } from 'preact';
import { followPairingLink } from './app/pairing_link';
import { openScreen, routeAt } from './app/routes';
import { Shell } from './app/shell';
import { startSun } from './app/sun_look';
import { startUpdates } from './app/update';
import { keepInstallOffer } from './parts/install';
import { startRouter } from './parts/router';
import { openStorage, whenQuiet } from './storage';
import { startSync } from './sync';
import { dayWords, keepWriting, loadFrameTexts, loadScreenTexts } from './text';
import './styles/tokens.css';
import './styles/elements.css';
import './styles/parts.css';
import './styles/forms.css';
import './styles/shell.css';
// With the frame's, so that the first board waits for no second sheet.
import './screens/round/style.css';
import './screens/round/ladder.css';
import './screens/round/pad.css';

const SCREEN_AT_MOST_MS = 400;
/** So long what nobody waits for leaves the disk to a first screen whose code is late. */
const BEHIND_AT_MOST_MS = 3_000;

const root = document.getElementById('app');
if (root) {
  // First of all: it opens on another thread, and the first board waits for it.
  if (isSecureContext) openStorage();
  const readSun = startSun();
  keepInstallOffer();
  if (isSecureContext) {
    startRouter();
    followPairingLink();
    const code = fetchScreen();
    const screen = Promise.all([loadFrameTexts(), atMost(SCREEN_AT_MOST_MS, code)]);
    // A browser's first formatter takes as long as all the rest of a start, unless what it says was noted. A round needs
    // none at first; what else is drawn does, and now nothing is to be done but wait for its code.
    if (!location.pathname.startsWith('/round/'))
      void loadFrameTexts().then(() => setTimeout(() => dayWords(new Date())));
    void screen.then(() => {
      render(<Shell />, root);
      // Whoever stands at a board waits for the board. Sync and a newer shell can wait for that.
      void atMost(BEHIND_AT_MOST_MS, code)
        .then(() => whenQuiet())
        .then(() => {
          void readSun();
          startSync();
          void startUpdates();
          keepWriting().catch(() => undefined); // its code cannot be had just now
        });
    });
  } else {
    void Promise.all([import('./app/rare'), loadScreenTexts()]).then(([{ InsecureAddress }]) =>
      render(<InsecureAddress />, root),
    );
  }
}

/**
 * The code of the first screen, so that it is drawn at once and not after a picture of waiting. If it is long in
 * coming (no network on the very first visit) or fails, the shell is drawn and says so.
 */
async function fetchScreen(): Promise<void> {
  const found = routeAt(location.pathname);
  if (found) await openScreen(found.route.screen).catch(() => undefined);
}

async function atMost(ms: number, work: Promise<void>): Promise<void> {
  const late = new Promise<void>((done) => setTimeout(done, ms));
  await Promise.race([work, late]);
}
