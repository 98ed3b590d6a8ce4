import { describe } from 'vitest';
import { stopLine } from './stop_line';
import { holdToVectors } from './vectors';

describe('stop-line', () => holdToVectors('stop-line', stopLine));
