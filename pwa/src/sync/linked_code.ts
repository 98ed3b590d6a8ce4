/** The code of a pairing link `…/#pair=CODE`. It stands in the fragment, so it was sent to nobody. */
export function codeFromFragment(hash: string): string | undefined {
  const code = new URLSearchParams(hash.replace(/^#/, '')).get('pair');
  return code ? code : undefined;
}
