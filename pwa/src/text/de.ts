/** German: the words of the frame, of Now and of a round (en.ts). Fetched by phones that speak it, kept for offline. */
import { forms } from './de/forms';
import { now } from './de/now';
import { parts } from './de/parts';
import { phrases } from './de/phrases';
import { round } from './de/round';
import { shell } from './de/shell';
import { told } from './de/told';
import { germanValue } from './de/values';
import { phraseBook } from './phrases';

export const de = { forms, now, parts, round, shell, told };

export const germanSaid = phraseBook(phrases, germanValue);
