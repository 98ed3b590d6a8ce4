import { useState } from 'preact/hooks';
import { Button, Card, TextField } from '../../parts';
import { newId, resolve } from '../../storage';
import { t } from '../../text';
import { EDITABLE, type FieldFault, fieldValue } from '../diary/editable';
import type { Past } from '../diary/past';
import { usePast } from '../diary/use_past';
import type { Names } from '../diary/words';
import { dayWords, localClock, localDay } from '../forms/local_time';
import type { PlotFacts } from '../forms/plot_facts';
import { useDraft } from '../forms/use_draft';
import { asItem, kept } from '../forms/write';
import {
  asTwoCounts,
  type Choice,
  type Chosen,
  choicesNow,
  chosenAmong,
  clashesOf,
  type FieldClash,
  type OpenView,
  type Side,
  settledSet,
} from './model';
import { sideFacts } from './saw';
import { fieldWords, valueWords } from './value_words';

type Props = { view: OpenView; what: string; facts: PlotFacts; names: Names };

/** Two edits of the same field: each value with whose it was; the person chooses line by line. */
export function ConflictCard({ view, what, facts, names }: Props) {
  const draft = useDraft<Record<string, Chosen>>(`settle:${view.id}`, {});
  const [tried, setTried] = useState(false);
  const { past } = usePast(view.id, facts.plot_id, (view.rev ?? 0) > 0);
  const clashes = clashesOf(view);
  const choices = choicesNow(clashes, draft.value);
  const set = settledSet(clashes, choices);
  const settle = async () => {
    if (!set) return setTried(true);
    const ids = view.conflicts.map((conflict) => conflict.id);
    if (await kept(() => resolve(view.id, ids, set, [], view))) await draft.clear();
  };
  const two = asTwoCounts(view);
  const keepBoth = async () => {
    const ids = view.conflicts.map((conflict) => conflict.id);
    const also = two?.also.map((body) => asItem('slug_count', newId(), body));
    if (await kept(() => resolve(view.id, ids, two?.set, also, view))) await draft.clear();
  };
  return (
    <Card tone="bad" icon="caution" title={t('sync.conflict', { what })}>
      {clashes.map((clash) => (
        <ClashRow
          key={clash.field}
          clash={clash}
          view={view}
          past={past}
          choice={choices[clash.field]}
          facts={facts}
          names={names}
          onChoose={(choice) => draft.change({ [clash.field]: chosenAmong(clash, choice) })}
        />
      ))}
      {tried && !set && (
        <p class="field-error" role="alert">
          {t('sync.choose_each')}
        </p>
      )}
      <Button kind="main" wide onClick={() => void settle()}>
        {t('sync.settle_all')}
      </Button>
      {two && (
        <>
          <Button wide onClick={() => void keepBoth()}>
            {t('sync.keep_both')}
          </Button>
          <p class="soft small">{t('sync.keep_both_hint')}</p>
        </>
      )}
    </Card>
  );
}

type RowProps = {
  clash: FieldClash;
  view: OpenView;
  past: Past | undefined;
  choice: Choice | undefined;
  facts: PlotFacts;
  names: Names;
  onChoose: (choice: Choice) => void;
};

function ClashRow({ clash, view, past, choice, facts, names, onChoose }: RowProps) {
  const chosen = choice && 'side' in choice ? choice.side : undefined;
  return (
    <fieldset class="clash">
      <legend>{fieldWords(clash.field)}</legend>
      <div class="sides">
        {clash.sides.map((side, i) => (
          <div key={side.conflict_id} class={`side ${chosen === i ? 'side-chosen' : ''}`}>
            <p class="side-value figures">{valueWords(view.type, clash.field, side.value, names)}</p>
            <SideLines side={side} clash={clash} view={view} past={past} names={names} />
            <Button aria-pressed={chosen === i} onClick={() => onChoose({ side: i })}>
              {t('sync.this_value')}
            </Button>
          </div>
        ))}
      </div>
      {clash.may_join && (
        <Button
          kind="quiet"
          aria-pressed={choice !== undefined && 'join' in choice}
          onClick={() => onChoose({ join: true })}
        >
          {t('sync.join_both')}
        </Button>
      )}
      <TypeAnother
        clash={clash}
        type={view.type}
        facts={facts}
        names={names}
        choice={choice}
        onChoose={onChoose}
      />
    </fieldset>
  );
}

type SideProps = Pick<RowProps, 'clash' | 'view' | 'past' | 'names'> & { side: Side };

/** Whose value it is, when it was typed, and what had stood there for that person. */
function SideLines({ side, clash, view, past, names }: SideProps) {
  const conflict = view.conflicts.find(({ id }) => id === side.conflict_id);
  const { device, at, saw } = sideFacts(past, clash.field, conflict);
  const when = at ?? side.when;
  const moment = when
    ? `${dayWords(localDay(when, names.time_zone), localDay(new Date(), names.time_zone))} ${localClock(when, names.time_zone)}`
    : '';
  const phone = device ?? side.device;
  const who = phone ? t('sync.from_device', { device: phone }) : side.who;
  const seen = saw && valueWords(view.type, clash.field, saw.value, names);
  return (
    <p class="soft small">
      {conflict ? t('sync.meant') : t('sync.stands_now')}
      <br />
      {[who, moment].filter(Boolean).join(' · ')}
      {seen !== undefined && (
        <>
          <br />
          {t('sync.had_seen', { value: seen })}
        </>
      )}
    </p>
  );
}

/** "Type the right one", for fields that can be typed at all. */
function TypeAnother({
  clash,
  type,
  facts,
  names,
  choice,
  onChoose,
}: Omit<RowProps, 'view' | 'past'> & { type: string }) {
  const [text, setText] = useState<string | undefined>(undefined);
  const [fault, setFault] = useState<FieldFault | undefined>(undefined);
  const field = EDITABLE[type]?.find((known) => known.name === clash.field);
  if (!field || field.kind === 'flag' || field.kind === 'choice') return null;
  const typed = choice && 'typed' in choice ? choice.typed : undefined;
  if (text === undefined) {
    return (
      <Button kind="quiet" aria-pressed={typed !== undefined} onClick={() => setText('')}>
        {typed === undefined ? t('sync.type_value') : valueWords(type, clash.field, typed, names)}
      </Button>
    );
  }
  const use = () => {
    const unit = (clash.sides[0]?.value as { unit?: string } | null | undefined)?.unit ?? facts.unit;
    const got = fieldValue(field, text, unit, facts.time_zone);
    if ('fault' in got) return setFault(got.fault);
    onChoose({ typed: got.value });
    setText(undefined);
  };
  const range = 'min' in field ? { min: field.min, max: field.max } : {};
  return (
    <div class="type-right">
      <TextField
        label={t('sync.type_value')}
        type={field.kind === 'moment' ? 'datetime-local' : field.kind === 'day' ? 'date' : 'text'}
        error={fault && t(`diary.${fault}`, range)}
        value={text}
        onText={setText}
      />
      <Button kind="main" onClick={use}>
        {t('sync.use_it')}
      </Button>
    </div>
  );
}
