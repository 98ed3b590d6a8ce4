import { render } from 'preact';
import { InsecureAddress } from './app/insecure';
import { followPairingLink } from './app/pairing_link';
import { openScreen, routeAt } from './app/routes';
import { Shell } from './app/shell';
import { startSun } from './app/sun_look';
import { startUpdates } from './app/update';
import { startRouter } from './parts/router';
import { startSync } from './sync';
import './styles/tokens.css';
import './styles/elements.css';
import './styles/parts.css';
import './styles/forms.css';
import './styles/shell.css';

const root = document.getElementById('app');
if (root) {
  startSun();
  if (isSecureContext) {
    startRouter();
    followPairingLink();
    fetchScreen();
    render(<Shell />, root);
    startSync();
    void startUpdates();
  } else {
    render(<InsecureAddress />, root);
  }
}

/** Ask for the code of the first screen before anything is drawn; the shell draws it, or says that it failed. */
function fetchScreen(): void {
  const found = routeAt(location.pathname);
  if (found) openScreen(found.route.screen).catch(() => undefined);
}
