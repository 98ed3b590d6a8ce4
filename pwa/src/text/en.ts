/** The English catalogue: one file a section, gathered here. A screen's words live in text/en/<screen>.ts. */
import { diary } from './en/diary';
import { evening } from './en/evening';
import { findings } from './en/findings';
import { first_run } from './en/first_run';
import { forms } from './en/forms';
import { now } from './en/now';
import { parts } from './en/parts';
import { plot } from './en/plot';
import { readings } from './en/readings';
import { round } from './en/round';
import { shell } from './en/shell';
import { sync } from './en/sync';
import { traps } from './en/traps';
import { treatment } from './en/treatment';

export const en = {
  diary,
  evening,
  findings,
  first_run,
  forms,
  now,
  parts,
  plot,
  readings,
  round,
  shell,
  sync,
  traps,
  treatment,
} as const;
