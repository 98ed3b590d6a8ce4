import { inOurWords } from '../../text';
import { asWritten, glued } from './words';

/** What the server wrote, in the language of the screen where that is known; else as it is, and read aloud as such. */
export function Written({ words = '' }: { words?: string | undefined }) {
  const own = inOurWords(words);
  return own === words ? <span lang={asWritten()}>{glued(words)}</span> : <span>{glued(own)}</span>;
}
