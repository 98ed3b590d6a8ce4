import { describe } from 'vitest';
import { cultureCount } from './culture_count';
import { holdToVectors } from './vectors';

describe('culture-count', () => holdToVectors('culture-count', cultureCount));
