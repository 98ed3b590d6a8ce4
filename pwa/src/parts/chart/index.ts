/** Pictures of numbers. Screens say what is to be seen (picture.ts); nobody else knows the library that draws. */
export { dateWords } from './axis';
export { Framed } from './framed';
export type { Cell, Column, Numbers } from './numbers';
export type { Layer, LegendEntry, Picture, PictureRow, RowsPicture, TimePicture, View } from './picture';
export { fetchDrawing } from './time_chart';
export { WhenSeen } from './when_seen';
