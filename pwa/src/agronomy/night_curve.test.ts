import { describe } from 'vitest';
import { nightCurve } from './night_curve';
import { holdToVectors } from './vectors';

describe('night-curve', () => holdToVectors('night-curve', nightCurve));
