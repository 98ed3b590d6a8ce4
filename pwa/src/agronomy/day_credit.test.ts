import { describe } from 'vitest';
import { dayCredit } from './day_credit';
import { holdToVectors } from './vectors';

describe('day-credit', () => holdToVectors('day-credit', dayCredit));
