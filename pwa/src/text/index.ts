export { type Fill, fillText, loadScreenTexts, type TextKey, t } from './catalogue';
export { dayWords, decimals, intervalWords, timeWords } from './format';
