/** Which language the words are in: what the person chose on this phone, else the phone's own. */

export type Language = 'en' | 'de';
export type LanguageChoice = 'auto' | Language;

/** Each by the name its speakers give it. */
export const LANGUAGES: readonly { code: Language; name: string }[] = [
  { code: 'en', name: 'English' },
  { code: 'de', name: 'Deutsch' },
];

const KEY = 'underboard.language';
/** A copy of the choice for the service worker, which cannot read the page's own storage (sw.ts). */
const CACHE = 'underboard-language';

/** `phone`: languages in the order in which their person likes them, such as `de-AT`, `en`. */
export function languageOf(choice: string | null | undefined, phone: readonly string[]): Language {
  const known = (tag: string): Language | undefined =>
    LANGUAGES.find(({ code }) => code === tag.toLowerCase().split('-')[0])?.code;
  return known(choice ?? '') ?? phone.map(known).find(Boolean) ?? 'en';
}

/** The locale for numbers and dates: the phone's own if it speaks the language shown, for its region's habits. */
export function localeOf(language: Language, phone: readonly string[]): string {
  const own = phone.find((tag) => tag.toLowerCase().split('-')[0] === language);
  return own ?? { en: 'en-GB', de: 'de-DE' }[language];
}

export function phoneLanguages(): readonly string[] {
  if (typeof navigator === 'undefined') return [];
  return navigator.languages?.length ? navigator.languages : [navigator.language];
}

export function languageChoice(): LanguageChoice {
  try {
    const kept = localStorage.getItem(KEY);
    return LANGUAGES.find(({ code }) => code === kept)?.code ?? 'auto';
  } catch {
    return 'auto'; // storage may be closed to us; the phone's own language will do
  }
}

/** Keep the choice and open the page anew in that language. Records and drafts are not touched by it. */
export async function chooseLanguage(choice: LanguageChoice): Promise<void> {
  try {
    localStorage.setItem(KEY, choice);
    const copy = await caches.open(CACHE);
    await copy.put('/language', new Response(languageOf(choice, phoneLanguages())));
  } catch {
    // Storage is closed to us: the page comes back as it was.
  }
  location.reload();
}
