/** The same for several at once: which ones lie together. Pure. */
export interface Pickable {
  id: string;
  label: string;
  kind?: string | undefined;
}
export interface Quick {
  /** Undefined: all of them, whatever they are. */
  kind: string | undefined;
  ids: string[];
}

/** Presses that tick many: each kind of which there are several, then all when there is more than one kind. */
export function quickChoices(choices: readonly Pickable[]): Quick[] {
  const of = new Map<string, string[]>();
  for (const { id, kind = '' } of choices) of.set(kind, [...(of.get(kind) ?? []), id]);
  const kinds = [...of].filter(([kind, ids]) => kind !== '' && ids.length > 1);
  const quick: Quick[] = kinds.map(([kind, ids]) => ({ kind, ids }));
  if (of.size > 1 && choices.length > 2) quick.push({ kind: undefined, ids: choices.map(({ id }) => id) });
  return quick;
}

/** Unticked ones between the first and the last that are ticked, of the kinds ticked: "beds 3 to 7". */
export function between<P extends Pickable>(choices: readonly P[], chosen: readonly string[]): P[] {
  const at = choices.flatMap((one, i) => (chosen.includes(one.id) ? [i] : []));
  const [first, last] = [at[0], at.at(-1)];
  if (first === undefined || last === undefined) return [];
  const kinds = new Set(at.map((i) => choices[i]?.kind));
  return choices.slice(first, last).filter((one) => !chosen.includes(one.id) && kinds.has(one.kind));
}

/** `chosen` with `ids`, each once, in the order of the list. */
export function withAll(
  choices: readonly Pickable[],
  chosen: readonly string[],
  ids: readonly string[],
): string[] {
  const wanted = new Set([...chosen, ...ids]);
  return choices.flatMap(({ id }) => (wanted.has(id) ? [id] : []));
}
