// What the screen asks of the storage goes first: work that nobody waits for begins when it has its answers.

const QUIET_MS = 150;

let open = 0;
let timer: ReturnType<typeof setTimeout> | undefined;
const waiting = new Set<() => void>();

/** Note a question of the screen until it is answered. */
export function asked<T>(answer: Promise<T>): Promise<T> {
  open += 1;
  const answered = (): void => {
    open -= 1;
    listen();
  };
  answer.then(answered, answered);
  return answer;
}

/** Resolves once the screen has had all its answers for a moment, or after `atMost` ms: nothing waits for ever. */
export function whenQuiet(atMost = 3_000): Promise<void> {
  return new Promise((done) => {
    const go = (): void => {
      waiting.delete(go);
      clearTimeout(late);
      done();
    };
    const late = setTimeout(go, atMost);
    waiting.add(go);
    listen();
  });
}

function listen(): void {
  if (open > 0 || waiting.size === 0) return;
  clearTimeout(timer);
  timer = setTimeout(() => {
    if (open === 0) for (const go of [...waiting]) go();
  }, QUIET_MS);
}
