import type { JSX } from 'preact';
import type { LookAlike } from './model';

/** Our own line sketches of what comes to a wheat bait, drawn for telling them apart, not for their beauty. */
const RINGS = Array.from({ length: 9 }, (_, i) => 27 + i * 9.2);

function legs(from: number, to: number, step: number, length: number, lean: number): string {
  const strokes: string[] = [];
  for (let x = from; x <= to; x += step) {
    strokes.push(`M${x} 14l${lean} -${length}M${x} 22l${lean} ${length}`);
  }
  return strokes.join('');
}

function Wireworm() {
  return (
    <>
      <path class="creature-body" d="M16 14h82c6 0 10 2 12 4-2 2-6 4-12 4H16c-5 0-8-1.500-8-4s3-4 8-4z" />
      <path class="creature-dark" d="M16 14c-5 0-8 1.500-8 4s3 4 8 4c2-2.500 2-5.500 0-8z" />
      <path class="creature-line" d={RINGS.map((x) => `M${x} 14.200v7.600`).join('')} />
      <circle class="creature-dark" cx="102" cy="16.4" r="0.9" />
      <circle class="creature-dark" cx="102" cy="19.6" r="0.9" />
      <path class="creature-leg" d="M19 22l-2 5M27 22l-1 5M35 22v5M19 14l-2-5M27 14l-1-5M35 14v-5" />
    </>
  );
}

function Millipede() {
  return (
    <>
      <path class="creature-leg" d={legs(18, 106, 4, 6, 1)} />
      <rect class="creature-body" x="10" y="13" width="100" height="10" rx="5" />
      <path
        class="creature-line"
        d={Array.from({ length: 19 }, (_, i) => `M${18 + i * 4.8} 13.200v9.600`).join('')}
      />
      <path class="creature-leg" d="M11 15l-5-4M11 21l-5 4" />
    </>
  );
}

function Leatherjacket() {
  return (
    <>
      <path
        class="creature-body"
        d="M14 18c0-4 7-7 16-7.500 20-1 46-1 62 .500 10 1 15 3 16 7-1 4-6 6-16 7-16 1.500-42 1.500-62 .500-9-.500-16-3.500-16-7.500z"
      />
      <path
        class="creature-line"
        d="M34 11c2 4 2 10 0 14M50 10.500c2 4 2 11 0 15M66 10.500c2 4 2 11 0 15M82 11c2 4 2 10 0 14.500"
      />
      <path class="creature-leg" d="M107 14l5-3M108 18h5M107 22l5 3" />
    </>
  );
}

function Centipede() {
  return (
    <>
      <path class="creature-leg" d={legs(26, 104, 8, 9, 4)} />
      <path
        class="creature-body"
        d="M16 18c0-3 3-4.500 7-4.500h82c3 0 6 2 6 4.500s-3 4.500-6 4.500H23c-4 0-7-1.500-7-4.500z"
      />
      <path class="creature-line" d={RINGS.map((x) => `M${x + 3} 13.700v8.600`).join('')} />
      <path class="creature-leg" d="M17 16C12 12 9 9 4 8M17 20c-5 4-8 7-13 8M110 16l7-5M110 20l7 5" />
    </>
  );
}

const DRAWN: Record<LookAlike, () => JSX.Element> = {
  wireworms: Wireworm,
  millipedes: Millipede,
  leatherjackets: Leatherjacket,
  centipedes: Centipede,
};

/** The lines alone, in a frame of 120 by 36, for a larger drawing around them. */
export function Drawing({ of }: { of: LookAlike }) {
  const Lines = DRAWN[of];
  return <Lines />;
}

/** Decoration beside its words; a screen reader gets the words. */
export function Sketch({ of }: { of: LookAlike }) {
  return (
    <svg class="creature creature-lines" viewBox="0 0 120 36" aria-hidden="true" focusable="false">
      <Drawing of={of} />
    </svg>
  );
}
