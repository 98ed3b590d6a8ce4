// Seeded dice and ids: a seed gives the same history each time.

export class Dice {
  #state: number;
  constructor(seed: number) {
    this.#state = (seed * 0x9e3779b9 + 0x85ebca6b) >>> 0;
    for (let i = 0; i < 4; i += 1) this.next();
  }
  /** In [0, 1). The generator is mulberry32 (public domain, T. Ettinger 2017). */
  next = (): number => {
    this.#state = (this.#state + 0x6d2b79f5) >>> 0;
    let t = this.#state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
  below(n: number): number {
    return Math.floor(this.next() * n);
  }
  pick<T>(list: readonly T[]): T {
    return list[this.below(list.length)] as T;
  }
  some<T>(list: readonly T[], n: number): T[] {
    const left = [...list];
    return Array.from({ length: Math.min(n, left.length) }, () => left.splice(this.below(left.length), 1)[0] as T);
  }
}

/** UUIDv7s and a clock that only count: valid on the wire and the same in every run of a seed. */
export class Ids {
  #n = 0;
  constructor(
    readonly dice: Dice,
    readonly start: number,
  ) {}
  next = (): string => {
    this.#n += 1;
    const ms = (this.start + this.#n).toString(16).padStart(12, '0');
    const hex = () => this.dice.below(0x10000).toString(16).padStart(4, '0');
    return `${ms.slice(0, 8)}-${ms.slice(8)}-7${hex().slice(1)}-8${hex().slice(1)}-${hex()}${hex()}${hex()}`;
  };
  now(): number {
    return this.start + this.#n;
  }
}
