/**
 * Use code that is being fetched, with what holds when it has come (`ask`): meanwhile the look may change, or the part of
 * a picture that is looked at. Answers how to give it up; then `use` is not called any more.
 */
export function whenFetched<Code, Ask>(
  code: Promise<Code>,
  ask: () => Ask,
  use: (code: Code, ask: Ask) => void,
  failed: () => void,
): () => void {
  let gone = false;
  code.then((found) => {
    if (!gone) use(found, ask());
  }, failed);
  return () => {
    gone = true;
  };
}
