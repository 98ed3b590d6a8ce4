import { describe, expect, it } from 'vitest';
import { BAR, ROUTES, routeAt } from '../app/routes';
import { matchPath } from './router';

describe('a path', () => {
  it('fits its pattern and gives its named parts', () => {
    expect(matchPath('/', '/')).toEqual({});
    expect(matchPath('/round/:id', '/round/0198-a')).toEqual({ id: '0198-a' });
    expect(matchPath('/round/:id', '/round/a%20b/')).toEqual({ id: 'a b' });
  });

  it('does not fit another pattern', () => {
    expect(matchPath('/round/:id', '/round')).toBeUndefined();
    expect(matchPath('/round/:id', '/round/1/2')).toBeUndefined();
    expect(matchPath('/plot', '/sync')).toBeUndefined();
  });

  it('with a broken escape fits nothing, instead of stopping the app', () => {
    expect(matchPath('/round/:id', '/round/%E0%A4%A')).toBeUndefined();
  });
});

const screens = Object.keys(import.meta.glob('../screens/*/index.tsx'));

describe('the table of screens', () => {
  it.each(ROUTES)('$path has a screen', ({ screen }) => {
    expect(screens).toContain(`../screens/${screen}/index.tsx`);
  });

  it('leaves no screen without a path', () => {
    const known = new Set(ROUTES.map(({ screen }) => `../screens/${screen}/index.tsx`));
    expect(screens.filter((file) => !known.has(file))).toEqual([]);
  });

  it('lights the entry of the bar that leads to it', () => {
    for (const { tab, to } of BAR) expect(routeAt(to)?.route.tab, to).toBe(tab);
    expect(routeAt('/round/1')?.params).toEqual({ id: '1' });
    expect(routeAt('/nowhere')).toBeUndefined();
  });
});
