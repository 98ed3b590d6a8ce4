import type { Problem } from '../../storage';
import { inOurWords, language } from '../../text';

/** What the server says of a problem. Its English detail repeats the errors of the list; other languages have a title. */
export function problemWords({
  title,
  detail,
  errors,
}: Pick<Problem, 'title' | 'detail' | 'errors'>): string {
  const listed = (errors ?? []).length > 0 && language() !== 'en';
  return inOurWords(listed ? title : (detail ?? title));
}
