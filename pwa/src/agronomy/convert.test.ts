import { describe } from 'vitest';
import { convert } from './convert';
import { holdToVectors } from './vectors';

describe('convert', () => holdToVectors('convert', convert));
