/** The same whole decisions as the server's tests read (fixtures/vectors/decisions; made by scipy and statsmodels). */
import { describe, expect, it } from 'vitest';
import crops from '../../../fixtures/vectors/decisions/crops.json';
import frost from '../../../fixtures/vectors/decisions/frost.json';
import standing from '../../../fixtures/vectors/decisions/standing.json';
import { cropDamage } from './crop_damage';
import { type FrostDecisionIn, frostDecision } from './frost_decision';
import { type GrownCrop, standingCrops } from './standing_crops';

function agrees(got: unknown, want: unknown, at = ''): void {
  if (typeof want === 'number') {
    expect(got, at).toBeTypeOf('number');
    expect(Math.abs((got as number) - want), `${at}: ${got} for ${want}`).toBeLessThanOrEqual(
      1e-9 * Math.abs(want) + 1e-12,
    );
  } else if (Array.isArray(want)) {
    expect(got, at).toHaveLength(want.length);
    want.forEach((one, i) => {
      agrees((got as unknown[])[i], one, `${at}/${i}`);
    });
  } else if (typeof want === 'object' && want !== null) {
    for (const [name, one] of Object.entries(want)) {
      agrees((got as Record<string, unknown>)[name], one, `${at}/${name}`);
    }
  } else {
    expect(got, at).toBe(want);
  }
}

describe('the frost decision', () => {
  it.each(frost.cases)('$id: $comment', (item) => {
    agrees(frostDecision(item.in as FrostDecisionIn), item.out);
  });
});

describe('crop damage temperatures', () => {
  it.each(crops.cases)('$in.kind', (item) => {
    const given = item.in as { kind: string; stage?: string; hardened?: boolean };
    agrees(cropDamage(given.kind, given.stage, given.hardened), item.out);
  });
});

describe('what stands out in a night', () => {
  it.each(standing.cases)('$id', (item) => {
    const found = standingCrops([item.in.crop as GrownCrop], standing.kinds, item.in.night);
    expect(found.length > 0).toBe(item.out.stands);
  });
});
