/** Which layer, which week, and what the colours mean. */
import { useId } from 'preact/hooks';
import { Icon, IconButton, Segmented } from '../../../parts';
import { decimals, t } from '../../../text';
import { dayWords } from '../../forms/local_time';
import type { TemperatureUnit } from '../../readings/model';
import { degreesIn } from './marks';
import { classesOf, LAYERS, type Layer, type ScaleClass } from './scales';
import type { Week } from './weeks';

export function LayerPick({ layer, onPick }: { layer: Layer; onPick: (layer: Layer) => void }) {
  return (
    <div class="layer-pick">
      <Segmented
        label={t('sketch.layer')}
        hideLabel
        value={layer}
        choices={LAYERS.map((value) => ({ value, label: t(`sketch.layer_${value}`) }))}
        onChoose={onPick}
      />
    </div>
  );
}

export function weekWords(week: Week, today: string): string {
  return t('sketch.week', { from: dayWords(week.from, today), to: dayWords(week.to, today) });
}

type SliderProps = { weeks: readonly Week[]; at: number; today: string; onMove: (at: number) => void };

export function WeekSlider({ weeks, at, today, onMove }: SliderProps) {
  const id = useId();
  const week = weeks[at];
  const words = week ? weekWords(week, today) : '';
  return (
    <div class="week">
      <label for={id} class="week-words figures">
        {words}
      </label>
      <div class="week-row">
        <IconButton
          icon="back"
          label={t('sketch.week_before')}
          disabled={at <= 0}
          onClick={() => onMove(at - 1)}
        />
        <input
          id={id}
          class="week-slider"
          type="range"
          min={0}
          max={Math.max(0, weeks.length - 1)}
          step={1}
          value={at}
          aria-valuetext={words}
          onInput={(event) => onMove(Number(event.currentTarget.value))}
        />
        <IconButton
          icon="next"
          label={t('sketch.week_after')}
          disabled={at >= weeks.length - 1}
          onClick={() => onMove(at + 1)}
        />
      </div>
    </div>
  );
}

/** Each colour with its bounds in figures; the hatch for "no number", the diamond for what waits. */
export function Legend({ layer, unit, flagged }: { layer: Layer; unit: TemperatureUnit; flagged: boolean }) {
  return (
    <div class="legend small">
      <p>
        <strong>{t(`sketch.legend_${layer}`, { unit: t(`forms.unit_${unit}`) })}</strong>
      </p>
      <ul class="legend-row">
        {classesOf(layer).map((one) => (
          <li key={one.step}>
            <svg class="swatch" viewBox="0 0 18 18" aria-hidden="true" focusable="false">
              <rect class={`bed-ground step-${one.step}`} x="1" y="1" width="16" height="16" rx="2" />
            </svg>
            {classWords(layer, one, unit)}
          </li>
        ))}
        {(layer === 'slugs' || layer === 'wireworm') && (
          <li>
            <svg class="swatch" viewBox="0 0 18 18" aria-hidden="true" focusable="false">
              <rect class="bed-ground bed-blank" x="1" y="1" width="16" height="16" rx="2" />
              <path class="hatch-line" d="M2 12L12 2M6 16L16 6" />
            </svg>
            {t('sketch.no_number')}
          </li>
        )}
        {flagged && (
          <li>
            <svg class="swatch" viewBox="0 0 18 18" aria-hidden="true" focusable="false">
              <path class="flag" d="M9 1l8 8l-8 8l-8 -8z" />
            </svg>
            {t('sketch.to_settle')}
          </li>
        )}
      </ul>
    </div>
  );
}

function classWords(layer: Layer, { from, below }: ScaleClass, unit: TemperatureUnit): string {
  if (layer === 'slugs' && from === undefined) return t('sketch.class_none');
  const of = (value: number) =>
    layer === 'soil' ? degreesIn(value, unit) : decimals(value, value % 1 === 0 ? 0 : 1);
  const short = (value: number) => of(value).replace(/[.,]0$/, '');
  if (layer === 'crops') return below === undefined ? t('sketch.class_several') : t('sketch.class_one');
  if (layer === 'treatments') return below === undefined ? t('sketch.class_7_42') : t('sketch.class_0_6');
  if (from === undefined || from < 0.001) return t('sketch.class_below', { below: short(below ?? 0) });
  if (below === undefined) return t('sketch.class_from', { from: short(from) });
  return t('sketch.class_between', { from: short(from), below: short(below) });
}

type ZoomProps = { onIn: () => void; onOut: () => void; onAll: () => void; isWhole: boolean };

export function ZoomButtons({ onIn, onOut, onAll, isWhole }: ZoomProps) {
  return (
    <fieldset class="zoom">
      <legend class="only-heard">{t('sketch.zoom')}</legend>
      <IconButton icon="plus" label={t('sketch.zoom_in')} onClick={onIn} />
      <IconButton icon="minus" label={t('sketch.zoom_out')} onClick={onOut} />
      <button type="button" class="icon-button zoom-all" disabled={isWhole} onClick={onAll}>
        <Icon name="plot" />
        <span class="only-heard">{t('sketch.zoom_all')}</span>
      </button>
    </fieldset>
  );
}
