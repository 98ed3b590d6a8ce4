/** German: the words of the frame, of Now and of a round (en.ts). Fetched by phones that speak it, kept for offline. */
import { forms } from './de/forms';
import { now } from './de/now';
import { parts } from './de/parts';
import { phrases } from './de/phrases';
import { answers } from './de/phrases_answers';
import { ground } from './de/phrases_ground';
import { pests } from './de/phrases_pests';
import { round } from './de/round';
import { shell } from './de/shell';
import { told } from './de/told';
import { germanValue } from './de/values';
import { phraseBook } from './phrases';

export const de = { forms, now, parts, round, shell, told };

/** Longer sentences first: a short phrase with places would fit parts of them. */
export const book = [...phrases, ...pests, ...ground, ...answers];

export const germanSaid = phraseBook(book, germanValue);
