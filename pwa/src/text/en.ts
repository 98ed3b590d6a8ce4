/**
 * The English catalogue: one file a section. These are the words that draw the frame, Now and a round, which
 * must come up at once on a cold phone; en_screens.ts has the words of the screens that are opened after that.
 */
import { forms } from './en/forms';
import { now } from './en/now';
import { parts } from './en/parts';
import { round } from './en/round';
import { shell } from './en/shell';
import { told } from './en/told';

export const en = { forms, now, parts, round, shell, told } as const;
