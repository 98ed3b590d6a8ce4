import { describe } from 'vitest';
import { trialPower } from './trial_power';
import { holdToVectors } from './vectors';

describe('trial-power', () => holdToVectors('trial-power', trialPower));
