import { useEffect, useRef, useState } from 'preact/hooks';
import { t } from '../../text';
import { IconButton } from '../button';
import type { Plot } from './canvas_plot';
import { keyed, listen } from './gestures';
import { textSize } from './palette';
import type { TimePicture, View } from './picture';
import { usePalette } from './use_palette';
import { useWidth } from './use_width';
import { isWhole } from './viewport';
import { whenFetched } from './when_fetched';

type Props = {
  picture: TimePicture;
  view: View;
  onView: (view: View) => void;
  /** The numbers of a day in words. */
  says: (x: number) => string;
};

/** Fetch what draws while the records are still being read. */
export function fetchDrawing(): void {
  void import('./canvas_plot').catch(() => undefined);
}

function heightFor(width: number, size: number): number {
  return Math.round(Math.min(400, Math.max(230, width * 0.6)) + (size - 1) * 60);
}

/** A picture over time that can be looked at closer: two fingers, buttons, keys; a double tap shows all again. */
export function TimeChart({ picture, view, onView, says }: Props) {
  const [host, width] = useWidth<HTMLDivElement>();
  const palette = usePalette();
  const plot = useRef<Plot | undefined>(undefined);
  const [point, setPoint] = useState<number>();
  const [failed, setFailed] = useState(false);
  const size = textSize();
  const height = heightFor(width || 328, size);
  // Listeners live as long as the plot; they ask for what stands now.
  const now = useRef({ picture, view, onView, palette });
  now.current = { picture, view, onView, palette };

  useEffect(() => {
    const element = host.current;
    if (!element || width === 0) return;
    let stop = (): void => undefined;
    const giveUp = whenFetched(
      import('./canvas_plot'),
      () => now.current,
      ({ makePlot }, { view, palette }) => {
        const made = makePlot(element, { picture, view, palette, size, width, height, onPoint: setPoint });
        plot.current = made;
        stop = listen(made.over, {
          view: () => now.current.view,
          whole: () => now.current.picture.whole,
          setView: (next) => now.current.onView(next),
          point: (clientX) => made.point(clientX),
        });
      },
      () => setFailed(true),
    );
    return () => {
      giveUp();
      stop();
      plot.current?.destroy();
      plot.current = undefined;
    };
  }, [picture, width, size]);
  useEffect(() => plot.current?.setView(view), [view.from, view.to]);
  useEffect(() => plot.current?.setPalette(palette), [palette]);

  const press = (key: string): void => {
    const next = keyed(key, view, picture.whole);
    if (next) onView(next);
  };
  return (
    <div class="plot">
      <p class="soft small plot-axis">{picture.axis}</p>
      <div
        ref={host}
        class="plot-sheet"
        role="img"
        aria-label={t('pictures.label', { title: picture.title })}
        // biome-ignore lint/a11y/noNoninteractiveTabindex: the keys + - 0 and the arrows look closer and sideways
        tabIndex={0}
        onKeyDown={(event) => {
          if (event.ctrlKey || event.metaKey || event.altKey) return;
          if (!keyed(event.key, view, picture.whole)) return;
          event.preventDefault();
          press(event.key);
        }}
      />
      {failed && <p class="field-error">{t('pictures.not_drawn')}</p>}
      <div class="plot-under">
        <p class="small plot-says" aria-live="off">
          {point === undefined ? <span class="soft">{t('pictures.hint')}</span> : says(point)}
        </p>
        <div class="plot-buttons">
          <IconButton icon="minus" label={t('pictures.wider')} onClick={() => press('-')} />
          <IconButton icon="plus" label={t('pictures.closer')} onClick={() => press('+')} />
          <IconButton
            icon="undo"
            label={t('pictures.whole')}
            disabled={isWhole(view, picture.whole)}
            onClick={() => press('0')}
          />
        </div>
      </div>
    </div>
  );
}
