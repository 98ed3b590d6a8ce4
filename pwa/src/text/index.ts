export {
  type Fill,
  fillText,
  inOurWords,
  language,
  loadFrameTexts,
  loadScreenTexts,
  type TextKey,
  t,
  translated,
} from './catalogue';
export { dayWords, decimalPoint, decimals, intervalWords, locale, measure, timeWords } from './format';
export { chooseLanguage, LANGUAGES, type LanguageChoice, languageChoice } from './language';
