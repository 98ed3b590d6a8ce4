// Who has changed what: told to this page at once and to the other tabs by BroadcastChannel.

export type Change = { types: Set<string>; ids: Set<string> };
type Listener = (change: Change) => void;

const listeners = new Set<Listener>();
let channel: BroadcastChannel | undefined;
let told = 0;

function openChannel(): BroadcastChannel | undefined {
  if (!channel && typeof BroadcastChannel !== 'undefined') {
    channel = new BroadcastChannel('underboard-changes');
    channel.onmessage = (event: MessageEvent<{ types: string[]; ids: string[] }>) =>
      tellHere({ types: new Set(event.data.types), ids: new Set(event.data.ids) });
  }
  return channel;
}

function tellHere(change: Change): void {
  told += 1;
  for (const listener of listeners) listener(change);
}

export const changes = {
  subscribe(listener: Listener): () => void {
    openChannel();
    listeners.add(listener);
    return () => listeners.delete(listener);
  },
  /** How many changes were told so far: whoever reads before subscribing sees whether one slipped between. */
  told(): number {
    return told;
  },
};

export function announce(types: Iterable<string>, ids: Iterable<string>): void {
  const change = { types: new Set(types), ids: new Set(ids) };
  tellHere(change);
  openChannel()?.postMessage({ types: [...change.types], ids: [...change.ids] });
}
