import { describe } from 'vitest';
import { nematodeDose } from './nematode_dose';
import { holdToVectors } from './vectors';

describe('nematode-dose', () => holdToVectors('nematode-dose', nematodeDose));
