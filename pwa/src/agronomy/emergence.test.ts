import { describe } from 'vitest';
import { emergence } from './emergence';
import { holdToVectors } from './vectors';

describe('emergence', () => holdToVectors('emergence', emergence));
