import { describe } from 'vitest';
import { density } from './density';
import { holdToVectors } from './vectors';

describe('density', () => holdToVectors('density', density));
