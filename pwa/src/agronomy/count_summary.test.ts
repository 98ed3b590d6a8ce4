import { describe } from 'vitest';
import { countSummary } from './count_summary';
import { holdToVectors } from './vectors';

describe('count-summary', () => holdToVectors('count-summary', countSummary));
