import { describe } from 'vitest';
import { sun } from './sun';
import { holdToVectors } from './vectors';

describe('sun', () => holdToVectors('sun', sun));
