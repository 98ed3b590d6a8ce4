import { Card, IconButton } from '../../parts';
import { newId } from '../../storage';
import { t } from '../../text';
import { addBoards, dropLastBoard, moved } from './model';
import { faultWords, type StepProps } from './step';

export function BoardsStep({ draft, change, faults }: StepProps) {
  const labelOf = new Map(draft.places.map((place) => [place.id, place.label]));
  const wrong = faultWords(faults, 'no_boards') ?? faultWords(faults, 'board_label');
  return (
    <>
      <p>{t('first_run.boards_text')}</p>
      {wrong && (
        <p class="field-error" role="alert">
          {wrong}
        </p>
      )}
      <Card>
        <ul class="board-places">
          {draft.places.map((place) => {
            const n = draft.boards.filter((board) => board.place_id === place.id).length;
            return (
              <li key={place.id} class="row-apart">
                <div>
                  <strong>{place.label}</strong>
                  <p class="soft small">{t('first_run.boards_here', { n })}</p>
                </div>
                <div class="stepper">
                  <IconButton
                    icon="minus"
                    label={t('first_run.one_less', { label: place.label })}
                    disabled={n === 0}
                    onClick={() => change((now) => dropLastBoard(now, place.id))}
                  />
                  <IconButton
                    icon="plus"
                    label={t('first_run.one_more', { label: place.label })}
                    onClick={() => change((now) => addBoards(now, place.id, 1, newId))}
                  />
                </div>
              </li>
            );
          })}
        </ul>
      </Card>
      {draft.boards.length > 0 && (
        <Card title={t('first_run.walk')}>
          <ol class="walk">
            {draft.boards.map((board, i) => (
              <li key={board.id} class="walk-row">
                <span class="walk-n figures" aria-hidden="true">
                  {i + 1}
                </span>
                <input
                  class="input walk-label"
                  aria-label={t('first_run.label')}
                  value={board.label}
                  maxLength={80}
                  onInput={(event) => {
                    const label = event.currentTarget.value;
                    change((now) => ({
                      ...now,
                      boards: now.boards.map((other) =>
                        other.id === board.id ? { ...other, label } : other,
                      ),
                    }));
                  }}
                />
                <span class="grow soft small">{labelOf.get(board.place_id)}</span>
                <span class="walk-up">
                  <IconButton
                    icon="back"
                    label={t('first_run.up', { label: board.label })}
                    disabled={i === 0}
                    onClick={() => change((now) => ({ ...now, boards: moved(now.boards, i, -1) }))}
                  />
                </span>
                <span class="walk-down">
                  <IconButton
                    icon="next"
                    label={t('first_run.down', { label: board.label })}
                    disabled={i === draft.boards.length - 1}
                    onClick={() => change((now) => ({ ...now, boards: moved(now.boards, i, 1) }))}
                  />
                </span>
              </li>
            ))}
          </ol>
        </Card>
      )}
    </>
  );
}
