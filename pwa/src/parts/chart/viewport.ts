/** Looking closer and sideways: what part of the whole is shown. Pure. */
import type { View } from './picture';

/** The closest look, as a share of nothing: a week of days. */
export const CLOSEST = 7 * 86_400_000;

/** Scale the view by `factor` (under 1: closer) around `at`, within the whole and no closer than `closest`. */
export function zoomed(view: View, whole: View, factor: number, at: number, closest = CLOSEST): View {
  const all = whole.to - whole.from;
  const now = view.to - view.from;
  const wide = Math.min(all, Math.max(Math.min(closest, all), now * factor));
  const share = now > 0 ? (at - view.from) / now : 0.5;
  return fitted({ from: at - share * wide, to: at + (1 - share) * wide }, whole);
}

/** Move by `by`, and stop at the ends. */
export function panned(view: View, whole: View, by: number): View {
  return fitted({ from: view.from + by, to: view.to + by }, whole);
}

export function isWhole(view: View, whole: View): boolean {
  const slack = (whole.to - whole.from) * 1e-6;
  return view.from <= whole.from + slack && view.to >= whole.to - slack;
}

/** As wide as it is, pushed back inside. */
function fitted(view: View, whole: View): View {
  const wide = Math.min(view.to - view.from, whole.to - whole.from);
  const from = Math.min(Math.max(view.from, whole.from), whole.to - wide);
  return { from, to: from + wide };
}

/** The view after the data have changed: the same days as far as they are there, or the new whole. */
export function carried(view: View, before: View, whole: View): View {
  if (isWhole(view, before)) return whole;
  if (view.to <= whole.from || view.from >= whole.to) return whole;
  return fitted(view, whole);
}
