import { describe } from 'vitest';
import { poissonInterval } from './poisson_interval';
import { holdToVectors } from './vectors';

describe('poisson-interval', () => holdToVectors('poisson-interval', poissonInterval));
