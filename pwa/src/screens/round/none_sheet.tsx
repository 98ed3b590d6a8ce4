import type { Plank, Tap } from '../../domain/round_model';
import { Button, Sheet } from '../../parts';
import { t } from '../../text';

type Props = {
  plank: Plank;
  /** What stands on it. */
  n: number;
  onTap: (tap: Tap, moveOn: boolean) => void;
  onClose: () => void;
};

/**
 * "None here" goes on to the next board at once, so that a number it had taken away would be missed by nobody: the
 * thumb may be on another board than its person thinks.
 */
export function NoneSheet({ plank, n, onTap, onClose }: Props) {
  return (
    <Sheet title={t('round.none_title', { board: plank.board.label, n })} onClose={onClose}>
      <div class="why">
        <Button
          onClick={() => {
            onClose();
            onTap({ kind: 'none' }, true);
          }}
        >
          {t('round.none_yes')}
        </Button>
        <Button onClick={onClose}>{t('round.none_keep', { n })}</Button>
      </div>
    </Sheet>
  );
}
