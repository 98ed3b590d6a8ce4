import { describe } from 'vitest';
import { surge } from './surge';
import { holdToVectors } from './vectors';

describe('surge', () => holdToVectors('surge', surge));
