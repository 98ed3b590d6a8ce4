import { describe } from 'vitest';
import { trialEffect } from './trial_effect';
import { holdToVectors } from './vectors';

describe('trial-effect', () => holdToVectors('trial-effect', trialEffect));
