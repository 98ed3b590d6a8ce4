// One JSON value a line: out by standard output, in by standard input. Lines wait until somebody asks for them.

declare const process: {
  argv: string[];
  stdin: AsyncIterable<Uint8Array>;
  stdout: { write(text: string): void };
  exit(code: number): never;
};

export class Wire {
  readonly #lines: string[] = [];
  readonly #waiting: ((line: string) => void)[] = [];

  async listen(): Promise<void> {
    const decoder = new TextDecoder();
    let rest = '';
    for await (const part of process.stdin) {
      const lines = (rest + decoder.decode(part, { stream: true })).split('\n');
      rest = lines.pop() ?? '';
      for (const line of lines) this.#came(line);
    }
    process.exit(0);
  }

  #came(line: string): void {
    const next = this.#waiting.shift();
    if (next) next(line);
    else this.#lines.push(line);
  }

  hear<T>(): Promise<T> {
    const line = this.#lines.shift();
    if (line !== undefined) return Promise.resolve(JSON.parse(line) as T);
    return new Promise((done) => this.#waiting.push((later) => done(JSON.parse(later) as T)));
  }

  ask<T>(question: object): Promise<T> {
    this.say(question);
    return this.hear<T>();
  }

  say(fact: object): void {
    process.stdout.write(`${JSON.stringify(fact)}\n`);
  }
}
