import type { ComponentChildren } from 'preact';
import { useRef, useState } from 'preact/hooks';
import { t } from '../../text';
import { Button } from '../button';
import { Legend } from './legend';
import type { Numbers } from './numbers';
import { NumbersTable } from './numbers_table';
import { paletteOfDay } from './palette';
import { legendOf, type Picture, type View } from './picture';
import { RowsChart } from './rows_chart';
import { download, numbersAsCsv, pictureAsPng, pictureAsSvg } from './save';
import { TimeChart } from './time_chart';
import { carried } from './viewport';
import './style.css';

type Props = {
  picture: Picture;
  numbers: Numbers;
  /** What it means for the decision, in one sentence; goes into the saved files too. */
  sentence: string;
  /** Plot and day, for the foot of a saved picture. */
  source: string;
  /** The numbers of a day in words, for pictures over time. */
  says?: (x: number) => string;
  /** Between the sentence and the picture: what can be chosen. */
  children?: ComponentChildren;
  /** Under the picture. */
  after?: ComponentChildren;
};

/** A picture with its sentence, its numbers, and the ways to take both home. */
export function Framed({ picture, numbers, sentence, source, says, children, after }: Props) {
  const [view, setView] = useView(picture);
  return (
    <figure class="framed" data-picture={picture.name}>
      <p class="framed-sentence">{sentence}</p>
      {children}
      {picture.kind === 'time' ? (
        <TimeChart picture={picture} view={view} onView={setView} says={says ?? (() => '')} />
      ) : (
        <RowsChart picture={picture} />
      )}
      <Legend entries={legendOf(picture)} />
      {after}
      <NumbersTable numbers={numbers} />
      <Saving picture={picture} view={view} numbers={numbers} words={{ sentence, source }} />
    </figure>
  );
}

/** The part that is looked at; kept over new data as far as it is still there. */
function useView(picture: Picture): [View, (view: View) => void] {
  const [state, setState] = useState<{ view: View; whole: View }>({
    view: picture.whole,
    whole: picture.whole,
  });
  const { whole } = picture;
  const same = state.whole.from === whole.from && state.whole.to === whole.to;
  const view = same ? state.view : carried(state.view, state.whole, whole);
  return [view, (next) => setState({ view: next, whole })];
}

type SavingProps = {
  picture: Picture;
  view: View;
  numbers: Numbers;
  words: { sentence: string; source: string };
};

function Saving({ picture, view, numbers, words }: SavingProps) {
  const [said, setSaid] = useState('');
  const busy = useRef(false);
  const save = async (ending: 'png' | 'svg' | 'csv'): Promise<void> => {
    if (busy.current) return;
    busy.current = true;
    const name = `${picture.name}.${ending}`;
    try {
      const palette = paletteOfDay();
      const blob =
        ending === 'csv'
          ? numbersAsCsv(numbers)
          : ending === 'png'
            ? await pictureAsPng(picture, view, words, palette)
            : new Blob([pictureAsSvg(picture, view, words, palette)], { type: 'image/svg+xml' });
      download(blob, name);
      setSaid(t('pictures.saved', { name }));
    } catch {
      setSaid(t('pictures.not_saved'));
    } finally {
      busy.current = false;
    }
  };
  return (
    <details class="findings-more">
      <summary>{t('pictures.save')}</summary>
      <div class="plot-save">
        <Button onClick={() => void save('png')}>{t('pictures.save_png')}</Button>
        <Button onClick={() => void save('svg')}>{t('pictures.save_svg')}</Button>
        <Button onClick={() => void save('csv')}>{t('pictures.save_csv')}</Button>
      </div>
      <p class="soft small" role="status">
        {said || t('pictures.save_what')}
      </p>
    </details>
  );
}
