import type { Plank, Tap } from '../../domain/round_model';
import { Button, Caution, Sheet } from '../../parts';
import { t } from '../../text';

const NOT_TURNED = ['why_covered', 'why_frozen', 'why_reach', 'why_time'] as const;
/** The board was there, or had been; a number from it would mean nothing. */
const SPOILED = ['why_moved', 'why_flooded', 'why_animal', 'why_picked'] as const;

type Props = { plank: Plank; onTap: (tap: Tap, moveOn: boolean) => void; onClose: () => void };

/** Why there is no number: one tap, so that "not turned" and "spoiled" stay apart without a lesson. */
export function WhySheet({ plank, onTap, onClose }: Props) {
  const say = (tap: Tap) => (): void => {
    onClose();
    onTap(tap, true);
  };
  return (
    <Sheet title={t('round.why_title', { board: plank.board.label })} onClose={onClose}>
      <div class="why">
        <h3>{t('round.why_not_turned')}</h3>
        {NOT_TURNED.map((why) => (
          <Button key={why} onClick={say({ kind: 'not_turned', reason: t(`round.${why}`) })}>
            {t(`round.${why}`)}
          </Button>
        ))}
        <h3>{t('round.why_spoiled')}</h3>
        {SPOILED.map((why) => (
          <Button key={why} onClick={say({ kind: 'spoiled', reason: t(`round.${why}`) })}>
            {t(`round.${why}`)}
          </Button>
        ))}
      </div>
      <p class="soft small">{t('round.why_hint')}</p>
      <Caution>{t('round.caution')}</Caution>
    </Sheet>
  );
}
