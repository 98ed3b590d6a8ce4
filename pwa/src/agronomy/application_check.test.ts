import { describe } from 'vitest';
import { applicationCheck } from './application_check';
import { holdToVectors } from './vectors';

describe('application-check', () => holdToVectors('application-check', applicationCheck));
