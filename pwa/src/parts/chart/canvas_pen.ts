/** The same pen on a canvas. */
import type { Lettering, Pen, Stroke } from './pen';

export class CanvasPen implements Pen {
  constructor(
    readonly to: CanvasRenderingContext2D,
    /** Pixels of the canvas for one unit of the picture. */
    readonly scale = 1,
  ) {}

  path(points: readonly number[], style: Stroke, closed = false): void {
    if (points.length < 4) return;
    const { to, scale } = this;
    to.beginPath();
    to.moveTo((points[0] ?? 0) * scale, (points[1] ?? 0) * scale);
    for (let i = 2; i + 1 < points.length; i += 2)
      to.lineTo((points[i] ?? 0) * scale, (points[i + 1] ?? 0) * scale);
    if (closed) to.closePath();
    this.#finish(style);
  }

  circle(x: number, y: number, r: number, style: Stroke): void {
    this.to.beginPath();
    this.to.arc(x * this.scale, y * this.scale, r * this.scale, 0, 2 * Math.PI);
    this.#finish(style);
  }

  text(words: string, x: number, y: number, style: Lettering): void {
    const { to, scale } = this;
    to.font = `${style.bold ? '600 ' : ''}${style.size * scale}px system-ui, sans-serif`;
    to.textAlign = style.anchor === 'middle' ? 'center' : style.anchor === 'end' ? 'right' : 'left';
    to.textBaseline = 'alphabetic';
    to.fillStyle = style.fill;
    to.fillText(words, x * scale, y * scale);
  }

  #finish({ stroke, fill, width, dash, opacity }: Stroke): void {
    const { to, scale } = this;
    to.globalAlpha = opacity ?? 1;
    if (fill && fill !== 'none') {
      to.fillStyle = fill;
      to.fill();
    }
    if (stroke) {
      to.strokeStyle = stroke;
      to.lineWidth = (width ?? 1) * scale;
      to.lineJoin = 'round';
      to.setLineDash((dash ?? []).map((length) => length * scale));
      to.stroke();
      to.setLineDash([]);
    }
    to.globalAlpha = 1;
  }
}
