/** Vitest draws no screens, so nobody fetches their words: load them before every test file. */
import { loadScreenTexts } from './catalogue';

await loadScreenTexts();
