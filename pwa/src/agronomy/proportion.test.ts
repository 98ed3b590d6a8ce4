import { describe } from 'vitest';
import { proportion } from './proportion';
import { holdToVectors } from './vectors';

describe('proportion', () => holdToVectors('proportion', proportion));
