import { useEffect, useRef } from 'preact/hooks';
import { uuid5 } from '../../domain/uuid5';
import { Button, Icon, IconButton, Notice, Sheet, TextField } from '../../parts';
import { get, newId, type Shown, saveMany, useLive } from '../../storage';
import { loadPhoto, tryAgain } from '../../storage/photos';
import { syncNow } from '../../sync';
import { inOurWords, t } from '../../text';
import { AskFirst } from '../forms/ask_first';
import { mayRecord, type PlotFacts } from '../forms/plot_facts';
import { useDraft } from '../forms/use_draft';
import { asItem, kept } from '../forms/write';
import { forgetUnnamed } from './forget';
import type { PhotoData } from './load';
import { captionItem, captionShown, removalOf, type Shot } from './model';
import { useWhole } from './picture';
import { altWords, momentWords, parentWords, placeWords } from './words';
import './style.css';

type Props = {
  /** In the order they are looked through. */
  shots: readonly Shot[];
  /** Every shot known, to tell whether a picture is of something else as well. */
  all: readonly Shot[];
  data: PhotoData;
  facts: PlotFacts;
  states: ReadonlyMap<string, string> | undefined;
  /** Key of the shot that is shown. */
  open: string;
  onOpen: (key: string) => void;
  onClose: () => void;
};

/** One photo: the picture, what it shows, when and where; its words can be changed, and it can be removed. */
export function Viewer(props: Props) {
  const { shots, data, facts, open, onOpen, onClose } = props;
  const at = shots.findIndex(({ key }) => key === open);
  const shot = shots[at];
  // Removed by somebody while it was being looked at.
  useEffect(() => {
    if (!shot) onClose();
  }, [shot === undefined]);
  const row = useRef<HTMLDivElement>(null);
  const first = useRef(true);
  // At either end the button that was pressed goes off, and would take the keyboard's place with it.
  useEffect(() => {
    if (!first.current && document.activeElement?.matches('body, dialog, :disabled'))
      row.current?.querySelector<HTMLElement>('button:not(:disabled)')?.focus();
    first.current = false;
  }, [open]);
  if (!shot) return null;
  const step = (by: number) => {
    const next = shots[at + by];
    if (next) onOpen(next.key);
  };
  const title = shot.caption || parentWords(shot, data) || placeWords(shot, data) || t('photos.of_plot');
  const writes = mayRecord(facts);
  return (
    <Sheet title={title} onClose={onClose}>
      <Whole key={shot.sha256} shot={shot} alt={altWords(shot, data, facts.time_zone)} />
      {shots.length > 1 && (
        <div class="row-apart" ref={row}>
          <IconButton
            icon="back"
            label={t('photos.previous')}
            disabled={at === shots.length - 1}
            onClick={() => step(1)}
          />
          <span class="soft figures">
            {shots.length - at} / {shots.length}
          </span>
          <IconButton icon="next" label={t('photos.next')} disabled={at === 0} onClick={() => step(-1)} />
        </div>
      )}
      {props.states?.get(shot.sha256) === 'broken' && <Broken shot={shot} />}
      {shot.orphan && <Notice>{t('photos.gone_one')}</Notice>}
      <Facts shot={shot} data={data} facts={facts} />
      {writes && <Caption key={`words:${shot.key}`} shot={shot} observer={facts.observer} />}
      {writes && <Remove key={`remove:${shot.key}`} {...props} shot={shot} />}
    </Sheet>
  );
}

function Whole({ shot, alt }: { shot: Shot; alt: string }) {
  const { address, state, again } = useWhole(shot.sha256);
  return (
    <figure class="photo-whole" aria-busy={state === 'fetching'}>
      {address ? (
        <img src={address} alt={alt} />
      ) : (
        <span class="photo-blank" role="img" aria-label={alt}>
          <Icon name="camera" />
        </span>
      )}
      <figcaption aria-live="polite">
        {state === 'fetching' && <span class="soft small">{t('photos.viewer_fetching')}</span>}
        {(state === 'away' || state === 'not_there') && (
          <Notice
            action={
              <Button kind="quiet" onClick={again}>
                {t('photos.viewer_again')}
              </Button>
            }
          >
            {state === 'not_there'
              ? t('photos.viewer_not_there')
              : t(address ? 'photos.viewer_away' : 'photos.viewer_away_bare')}
          </Notice>
        )}
      </figcaption>
    </figure>
  );
}

function Broken({ shot }: { shot: Shot }) {
  const row = useLive(() => loadPhoto(shot.sha256), ['photo'], [shot.sha256]);
  if (!row?.words) return null;
  const again = async () => {
    await tryAgain(shot.sha256);
    await syncNow();
  };
  return (
    <Notice
      tone="bad"
      action={
        <Button kind="quiet" onClick={() => void again()}>
          {t('photos.broken_again')}
        </Button>
      }
    >
      {t('photos.broken_why', { why: inOurWords(row.words) })}
    </Notice>
  );
}

function Facts({ shot, data, facts }: { shot: Shot; data: PhotoData; facts: PlotFacts }) {
  const rows = [
    [t('photos.taken'), momentWords(shot, facts.time_zone)],
    [t('photos.place'), placeWords(shot, data)],
    [t('photos.shows'), shot.parent?.type === 'place' ? '' : parentWords(shot, data)],
    [t('photos.by'), shot.observer],
  ].filter(([, words]) => words);
  return (
    <dl class="photo-facts">
      {rows.map(([name, words]) => (
        <div key={name}>
          <dt>{name}</dt>
          <dd>{words}</dd>
        </div>
      ))}
    </dl>
  );
}

function Caption({ shot, observer }: { shot: Shot; observer: string }) {
  /** With what stood there when the typing began: another phone's words may come meanwhile. */
  const draft = useDraft<{ typed: { words: string; shown: Shown } | undefined }>(`caption:${shot.key}`, {
    typed: undefined,
  });
  const { typed } = draft.value;
  const words = typed?.words ?? shot.caption;
  const same = words.trim() === shot.caption;
  const write = (text: string) =>
    draft.change(({ typed: before }) => ({
      typed: text === shot.caption ? undefined : { words: text, shown: before?.shown ?? captionShown(shot) },
    }));
  const save = () =>
    kept(async () => {
      const fresh = await recordOf(shot);
      const { type, id, set } = captionItem(shot, words, observer, () => fresh);
      await saveMany([asItem(type, id, set, typed?.shown)]);
      await draft.clear();
    });
  return (
    <div class="stack-tight">
      <TextField label={t('photos.caption_one')} maxLength={400} value={words} onText={write} />
      <Button disabled={same} onClick={() => void save()}>
        {t('photos.caption_save')}
      </Button>
    </div>
  );
}

/** The id of a record for its words: the same on every phone, so that two people who write some are asked. */
async function recordOf({ parent_id, sha256 }: Shot): Promise<string> {
  if (!parent_id) return newId();
  const id = uuid5(parent_id, sha256);
  // One that was removed is gone for good.
  return (await get('photo', id))?.deleted ? newId() : id;
}

/** Removing asks once, in place, and says that it is for everybody. */
function Remove({ shot, all, states, onClose }: Props & { shot: Shot }) {
  const remove = async () => {
    const { items, gone, forget } = removalOf(shot, all);
    const done = await kept(() =>
      saveMany(
        items.map(({ type, id, set }) => asItem(type, id, set)),
        gone,
      ),
    );
    if (!done) return;
    if (forget) await forgetUnnamed([shot.sha256]).catch(() => undefined);
    onClose();
  };
  return (
    <AskFirst label={t('photos.remove')} yes={t('photos.remove_yes')} onYes={() => void remove()}>
      <p>{t('photos.remove_sure')}</p>
      {states?.get(shot.sha256) === 'waiting' && <p>{t('photos.remove_only_here')}</p>}
    </AskFirst>
  );
}
