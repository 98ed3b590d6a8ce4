import { describe, expect, it } from 'vitest';
import { forgetsUnused, roomOf, wayHome } from './keeping_model';

// User agents as browsers send them (developer.mozilla.org, User-Agent header; checked against current releases).
const SAFARI =
  'Mozilla/5.0 (iPhone; CPU iPhone OS 18_5 like Mac OS X) AppleWebKit/605.1.15 (KHTML, like Gecko) Version/18.5 Mobile/15E148 Safari/604.1';
const IPAD =
  'Mozilla/5.0 (Macintosh; Intel Mac OS X 10_15_7) AppleWebKit/605.1.15 (KHTML, like Gecko) Version/18.5 Safari/605.1.15';
const CHROME_IOS =
  'Mozilla/5.0 (iPhone; CPU iPhone OS 18_5 like Mac OS X) AppleWebKit/605.1.15 (KHTML, like Gecko) CriOS/137.0.0.0 Mobile/15E148 Safari/604.1';
const CHROME_ANDROID =
  'Mozilla/5.0 (Linux; Android 10; K) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/137.0.0.0 Mobile Safari/537.36';
const FIREFOX_ANDROID = 'Mozilla/5.0 (Android 15; Mobile; rv:139.0) Gecko/139.0 Firefox/139.0';
const CHROME_LINUX =
  'Mozilla/5.0 (X11; Linux x86_64) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/137.0.0.0 Safari/537.36';

const of = (user_agent: string, touch_points = 5, offered = false) => ({ user_agent, touch_points, offered });

describe('the way to the home screen', () => {
  it('is the browser’s own offer where there is one', () => {
    expect(wayHome(of(CHROME_ANDROID, 5, true))).toBe('offered');
  });

  it('is told for the phone in the hand', () => {
    expect(wayHome(of(SAFARI))).toBe('ios_safari');
    expect(wayHome(of(IPAD))).toBe('ios_safari');
    expect(wayHome(of(IPAD, 0))).toBe('desktop');
    expect(wayHome(of(CHROME_IOS))).toBe('ios_other');
    expect(wayHome(of(CHROME_ANDROID))).toBe('android');
    expect(wayHome(of(FIREFOX_ANDROID))).toBe('android_firefox');
    expect(wayHome(of(CHROME_LINUX, 0))).toBe('desktop');
  });
});

it('knows which browsers empty what is not used', () => {
  expect([SAFARI, CHROME_IOS].every((ua) => forgetsUnused(of(ua)))).toBe(true);
  expect(forgetsUnused(of(IPAD, 0))).toBe(true);
  expect([CHROME_ANDROID, FIREFOX_ANDROID, CHROME_LINUX].some((ua) => forgetsUnused(of(ua)))).toBe(false);
});

it('reads how much is used, and of how much only where the browser says', () => {
  expect(roomOf({ usage: 12_300_000, quota: 100_000_000 })).toEqual({ used_mb: 12.3, share: 0.123 });
  expect(roomOf({ usage: 5_000_000, quota: 0 })).toEqual({ used_mb: 5, share: undefined });
  expect(roomOf({ usage: 5, quota: 4 })?.share).toBe(1);
  expect(roomOf(undefined)).toBeUndefined();
  expect(roomOf({})).toBeUndefined();
});
