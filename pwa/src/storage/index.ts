// Front door of the phone's storage. The promise of `save` resolves only after the disk has it.

export { changes } from './changes';
export { newId } from './ids';
export { type Known, useLive } from './live';
export {
  discard,
  dropDraft,
  get,
  list,
  listBy,
  loadDraft,
  meta,
  needsYou,
  oneByOne,
  openStorage,
  remove,
  resolve,
  save,
  saveDraft,
  saveMany,
  setMeta,
  together,
} from './phone';
export { whenQuiet } from './quiet';
export type { Ask, DateRange } from './reading';
export type { Gone, SaveItem } from './records';
export type { Base, Conflict, Fields, PhotoRow, Problem, Shown, View } from './rows';
export { saveTrouble, tellNotSaved } from './trouble';
