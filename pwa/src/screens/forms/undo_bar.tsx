import { useEffect } from 'preact/hooks';
import { Button, IconButton } from '../../parts';
import { t } from '../../text';
import { offered } from './undo';
import { kept } from './write';

/** Above the menu: what was just saved, and one press that takes all of it back. Stays until it is used or closed. */
export function UndoBar() {
  const offer = offered.value;
  useEffect(
    () => () => {
      offered.value = undefined;
    },
    [],
  );
  const undo = async () => {
    if (offer && (await kept(offer.run)) && offered.value === offer) offered.value = undefined;
  };
  return (
    <div class="undo-bar" role="status">
      {offer && (
        <div class="undo-plank">
          <span class="grow">{offer.words}</span>
          <Button icon="undo" data-key="u" onClick={() => void undo()}>
            {t('past.undo')}
          </Button>
          <IconButton
            icon="close"
            label={t('parts.close')}
            onClick={() => {
              offered.value = undefined;
            }}
          />
        </div>
      )}
    </div>
  );
}
