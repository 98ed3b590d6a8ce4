import { describe } from 'vitest';
import { trapThumb } from './trap_thumb';
import { holdToVectors } from './vectors';

describe('trap-thumb', () => holdToVectors('trap-thumb', trapThumb));
