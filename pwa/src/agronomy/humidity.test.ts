import { describe } from 'vitest';
import { humidity } from './humidity';
import { holdToVectors } from './vectors';

describe('humidity', () => holdToVectors('humidity', humidity));
