/**
 * Can this trial show anything at all? Ask before the season.
 *
 * Closed form on the log ratio of negative binomial means (Zhu & Lakkis 2014, Stat. Med. 33:376, from memory); the
 * case of boards that stay good or bad all season is our own. Held against simulation on the server.
 */
import { count, level, number, or, read } from './input';
import { normalQuantile, normalTails } from './special/normal';

export type TrialPowerIn = {
  mean: number;
  k: number;
  n_boards: number;
  n_rounds: number;
  percent_fewer: number;
  level?: number;
  power?: number;
};
export type TrialPower = {
  power: number;
  power_boards_keep: number;
  n_boards_needed: number | null;
  n_rounds_needed: number | null;
  n_boards_needed_boards_keep: number | null;
  why_not: string[];
  cautions: string[];
  method: string;
  source: string;
};

const USUAL_POWER = 0.8;
const MOST = 1e9;

export function trialPower(input: TrialPowerIn): TrialPower {
  const v = read(input, {
    mean: number({ min: 1e-6, max: 1e6 }),
    k: number({ min: 1e-6, max: 1e9 }),
    n_boards: count({ min: 1, max: 1e6 }),
    n_rounds: count({ min: 1, max: 1e6 }),
    percent_fewer: number({ min: 0.01, max: 99.99 }),
    level: level(),
    power: or(number({ min: 0.01, max: 0.9999 }), USUAL_POWER),
  });
  const effect = -Math.log1p(-v.percent_fewer / 100);
  const chance = 1 / (v.mean * (1 - v.percent_fewer / 100)) + 1 / v.mean;
  const clumping = 2 / v.k;
  const wanted = wantedSquare(effect, v.level, v.power);
  const boards = needed((chance + clumping) / v.n_rounds, wanted);
  const rounds = needed((chance + clumping) / v.n_boards, wanted);
  const boardsKeep = needed(chance / v.n_rounds + clumping, wanted);
  return {
    power: powerAt(effect, (chance + clumping) / v.n_boards / v.n_rounds, v.level),
    power_boards_keep: powerAt(effect, (chance / v.n_rounds + clumping) / v.n_boards, v.level),
    n_boards_needed: boards,
    n_rounds_needed: rounds,
    n_boards_needed_boards_keep: boardsKeep,
    why_not: [boards, rounds, boardsKeep].includes(null)
      ? ['No number of boards or rounds that could be counted would be enough.']
      : [],
    cautions: cautions(v.n_boards, v.n_rounds),
    method: 'closed form on the log ratio of negative binomial means, two-sided',
    source: 'Zhu & Lakkis 2014, Stat. Med. 33:376 (from memory); boards that keep: our own',
  };
}

function powerAt(effect: number, square: number, wanted: number): number {
  const z = -normalQuantile((1 - wanted) / 2);
  const distance = effect / Math.sqrt(square);
  return normalTails(distance - z).lower + normalTails(-distance - z).lower;
}

/** The square of the standard error at which the power is reached (the far tail left out). */
function wantedSquare(effect: number, wanted: number, power: number): number {
  const reach = -normalQuantile((1 - wanted) / 2) + normalQuantile(power);
  return reach > 0 ? (effect / reach) ** 2 : Infinity;
}

function needed(squareOfOne: number, wanted: number): number | null {
  if (wanted === 0 || squareOfOne / wanted > MOST) return null;
  return Math.max(Math.ceil((squareOfOne / wanted) * (1 - 1e-12)), 1);
}

function cautions(boards: number, rounds: number): string[] {
  return [
    ...(rounds > 1
      ? ['Rounds of the same boards repeat each other: plan with power_boards_keep unless boards are moved.']
      : []),
    ...(boards < 6 ? ['With fewer than 6 boards a side the formula is too hopeful.'] : []),
    'One treated and one untreated bed show a difference of beds; repeat the pair where you can.',
  ];
}
