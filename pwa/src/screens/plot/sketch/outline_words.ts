/** Where an outline lies, in words: for settling what two people moved. */
import { decimals, t } from '../../../text';
import { boxOf, type Outline, rectangleOf } from './geometry';

export function outlineWords(outline: Outline): string {
  if (outline.length === 0) return t('sketch.not_placed');
  const { left, top, right, bottom } = boxOf(outline);
  const rectangle = rectangleOf(outline);
  const [w, h] = rectangle ? [rectangle.across, rectangle.along] : [right - left, bottom - top];
  return t(rectangle && rectangle.turn !== 0 ? 'sketch.lies_turned' : 'sketch.lies', {
    ...{ width: decimals(w, 2), height: decimals(h, 2), left: decimals(left, 1), top: decimals(top, 1) },
    degrees: Math.round(rectangle?.turn ?? 0),
  });
}
