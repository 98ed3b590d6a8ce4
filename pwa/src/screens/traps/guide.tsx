import { useState } from 'preact/hooks';
import { Sheet } from '../../parts';
import { t } from '../../text';
import { PickOne } from '../forms/pick_one';
import { CREATURES, type LookAlike } from './model';
import { Specimen } from './specimen';

/** What the legs of each say; the surest sign, and one that needs no lens. */
const BY_LEGS: readonly LookAlike[] = ['leatherjackets', 'wireworms', 'centipedes', 'millipedes'];
/** Numbered marks of each drawing, in the words under it. */
export const MARKS = { wireworms: 4, millipedes: 3, leatherjackets: 3, centipedes: 3 } as const;

/** Which is it? By the legs first, then by what the drawing points at. Words and drawings are our own. */
export function Guide({ onClose }: { onClose: () => void }) {
  const [legs, setLegs] = useState<LookAlike | ''>('');
  const shown = legs === '' ? CREATURES : [legs];
  return (
    <Sheet title={t('traps.guide_title')} onClose={onClose}>
      <PickOne
        label={t('traps.guide_legs')}
        choices={BY_LEGS.map((value) => ({ value, label: t(`traps.legs_${value}`) }))}
        chosen={legs}
        onChoose={setLegs}
      />
      {legs !== '' && (
        <p role="status">
          <strong>{t('traps.guide_it_is', { what: t(`traps.one_${legs}`) })}</strong>
        </p>
      )}
      {shown.map((creature) => (
        <section key={creature} class="specimen" aria-labelledby={`guide-${creature}`}>
          <h3 id={`guide-${creature}`}>{t(`traps.${creature}`)}</h3>
          <Specimen of={creature} />
          <ol class="specimen-marks">
            {Array.from({ length: MARKS[creature] }, (_, i) => (
              <li key={`${creature} ${i + 1}`}>
                {t(`traps.mark_${creature}_${i + 1}` as 'traps.mark_wireworms_1')}
              </li>
            ))}
          </ol>
          <p class="soft small">{t(`traps.does_${creature}`)}</p>
        </section>
      ))}
    </Sheet>
  );
}
