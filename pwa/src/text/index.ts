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
export {
  dayInWords,
  dayWords,
  decimalPoint,
  decimals,
  intervalWords,
  keepWriting,
  locale,
  measure,
  timeWords,
} from './format';
export { chooseLanguage, LANGUAGES, type LanguageChoice, languageChoice } from './language';
