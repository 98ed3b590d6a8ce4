import { describe } from 'vitest';
import { missChance } from './miss_chance';
import { holdToVectors } from './vectors';

describe('miss-chance', () => holdToVectors('miss-chance', missChance));
