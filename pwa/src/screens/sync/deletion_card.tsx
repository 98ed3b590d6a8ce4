import type { RecordType } from '../../generated/api';
import { Button, Card } from '../../parts';
import { newId, remove, resolve, saveMany } from '../../storage';
import { t } from '../../text';
import type { Names } from '../diary/words';
import { asItem, kept } from '../forms/write';
import { asEdited, deletionOf, type OpenView } from './model';
import { fieldWords, valueWords } from './value_words';

/** One person deleted it, another changed it: the change is shown, and somebody says which was meant. */
export function DeletionCard({ view, what, names }: { view: OpenView; what: string; names: Names }) {
  const how = deletionOf(view);
  const ids = view.conflicts.map((conflict) => conflict.id);
  const edits = Object.assign({}, ...view.conflicts.map((conflict) => conflict.set)) as Record<
    string,
    unknown
  >;
  const keepAsNew = () =>
    kept(async () => {
      await saveMany([asItem(view.type as RecordType, newId(), asEdited(view))]);
      await resolve(view.id, ids);
    });
  const deleteNow = () =>
    kept(async () => {
      await resolve(view.id, ids);
      await remove(view.id);
    });
  return (
    <Card tone="bad" icon="caution" title={t('sync.deleted_title', { what })}>
      <p>{how === 'edited_after_delete' ? t('sync.deleted_after') : t('sync.deleted_before')}</p>
      <ul class="stack-tight">
        {Object.entries(edits).map(([field, value]) => (
          <li key={field}>
            {fieldWords(field)}: <strong>{valueWords(view.type, field, value, names)}</strong>
          </li>
        ))}
      </ul>
      {how === 'edited_after_delete' ? (
        <div class="sides">
          <Button onClick={() => void keepAsNew()}>{t('sync.keep_as_new')}</Button>
          <Button onClick={() => void kept(() => resolve(view.id, ids))}>{t('sync.let_go')}</Button>
        </div>
      ) : (
        <div class="sides">
          <Button onClick={() => void kept(() => resolve(view.id, ids))}>{t('sync.keep_it')}</Button>
          <Button kind="bad" onClick={() => void deleteNow()}>
            {t('sync.delete_it')}
          </Button>
        </div>
      )}
    </Card>
  );
}
