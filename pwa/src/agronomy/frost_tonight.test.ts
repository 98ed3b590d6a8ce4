import { describe } from 'vitest';
import { frostTonight } from './frost_tonight';
import { holdToVectors } from './vectors';

describe('frost-tonight', () => holdToVectors('frost-tonight', frostTonight));
