/** The English catalogue: one file a section, gathered here. A screen's words live in text/en/<screen>.ts. */
import { now } from './en/now';
import { parts } from './en/parts';
import { round } from './en/round';
import { shell } from './en/shell';

export const en = { now, parts, round, shell } as const;
