/**
 * A pen that draws into a list of SVG elements: shown by the screen as they are, or written to a file. Pure.
 *
 * Only presentation attributes, never a style attribute: the page's policy allows no inline style.
 */
export interface Stroke {
  stroke?: string;
  fill?: string;
  width?: number;
  dash?: readonly number[] | undefined;
  opacity?: number;
}
export interface Lettering {
  fill: string;
  size: number;
  anchor?: 'start' | 'middle' | 'end';
  bold?: boolean;
}
/** Points as x, y, x, y … */
export interface Pen {
  path(points: readonly number[], style: Stroke, closed?: boolean): void;
  circle(x: number, y: number, r: number, style: Stroke): void;
  text(words: string, x: number, y: number, style: Lettering): void;
}

export interface Element {
  tag: 'path' | 'circle' | 'text' | 'rect';
  attributes: Readonly<Record<string, string | number>>;
  text?: string;
}

const short = (value: number): number => Math.round(value * 100) / 100;

function strokeAttributes({ stroke, fill, width, dash, opacity }: Stroke): Record<string, string | number> {
  return {
    fill: fill ?? 'none',
    ...(stroke ? { stroke, 'stroke-width': width ?? 1, 'stroke-linejoin': 'round' } : {}),
    ...(dash && dash.length > 0 ? { 'stroke-dasharray': dash.join(' ') } : {}),
    ...(opacity === undefined ? {} : { opacity }),
  };
}

export function pathData(points: readonly number[], closed = false): string {
  let d = '';
  for (let i = 0; i + 1 < points.length; i += 2) {
    d += `${i === 0 ? 'M' : 'L'}${short(points[i] ?? 0)} ${short(points[i + 1] ?? 0)}`;
  }
  return closed ? `${d}Z` : d;
}

export class SvgPen implements Pen {
  readonly elements: Element[] = [];

  path(points: readonly number[], style: Stroke, closed = false): void {
    if (points.length < 4) return;
    this.elements.push({
      tag: 'path',
      attributes: { d: pathData(points, closed), ...strokeAttributes(style) },
    });
  }
  circle(x: number, y: number, r: number, style: Stroke): void {
    this.elements.push({
      tag: 'circle',
      attributes: { cx: short(x), cy: short(y), r: short(r), ...strokeAttributes(style) },
    });
  }
  text(words: string, x: number, y: number, style: Lettering): void {
    this.elements.push({
      tag: 'text',
      attributes: {
        x: short(x),
        y: short(y),
        fill: style.fill,
        'font-size': short(style.size),
        'font-family': 'system-ui, sans-serif',
        'text-anchor': style.anchor ?? 'start',
        ...(style.bold ? { 'font-weight': 600 } : {}),
      },
      text: words,
    });
  }
}

/** Text for XML; control characters, which XML 1.0 forbids, are left out. */
export function xmlText(words: string): string {
  const allowed = [...words].filter((letter) => letter >= ' ' || letter === '\t' || letter === '\n').join('');
  return allowed
    .replaceAll('&', '&amp;')
    .replaceAll('<', '&lt;')
    .replaceAll('>', '&gt;')
    .replaceAll('"', '&quot;');
}

function written({ tag, attributes, text }: Element): string {
  const named = Object.entries(attributes).map(([name, value]) => ` ${name}="${xmlText(String(value))}"`);
  return text === undefined
    ? `<${tag}${named.join('')}/>`
    : `<${tag}${named.join('')}>${xmlText(text)}</${tag}>`;
}

/** A whole SVG file with a title and a description. */
export function svgFile(
  elements: readonly Element[],
  size: { width: number; height: number },
  words: { title: string; about: string },
): string {
  const { width, height } = size;
  return [
    '<?xml version="1.0" encoding="UTF-8"?>',
    `<svg xmlns="http://www.w3.org/2000/svg" width="${width}" height="${height}" viewBox="0 0 ${width} ${height}" role="img">`,
    `<title>${xmlText(words.title)}</title>`,
    `<desc>${xmlText(words.about)}</desc>`,
    ...elements.map(written),
    '</svg>',
    '',
  ].join('\n');
}
