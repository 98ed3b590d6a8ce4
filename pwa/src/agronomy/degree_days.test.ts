import { describe } from 'vitest';
import { degreeDays } from './degree_days';
import { holdToVectors } from './vectors';

describe('degree-days', () => holdToVectors('degree-days', degreeDays));
