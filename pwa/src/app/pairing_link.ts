import { navigate } from '../parts/router';
import { codeFromFragment } from '../sync';

/**
 * A pairing link is the server's address with the one-time code in its fragment (`/#pair=CODE`), so that the
 * code is sent to nobody. It leads to the form that asks before the code is used up: a browser tab and the
 * installed app may not share their storage, and only one of them can have it.
 */
export function followPairingLink(): void {
  const follow = (): void => {
    if (location.pathname === '/' && codeFromFragment(location.hash)) {
      navigate(`/join${location.hash}`, { replace: true });
    }
  };
  follow();
  addEventListener('hashchange', follow);
}
