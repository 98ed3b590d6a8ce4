export { type Fill, fillText, type TextKey, t } from './catalogue';
export { dayWords, decimals, intervalWords, timeWords } from './format';
