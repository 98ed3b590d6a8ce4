// Front door of the phone's storage. The promise of `save` resolves only after the disk has it.

export { changes } from './changes';
export { newId } from './ids';
export { useLive } from './live';
export {
  discard,
  dropDraft,
  get,
  list,
  listBy,
  loadDraft,
  meta,
  needsYou,
  remove,
  resolve,
  save,
  saveDraft,
  saveMany,
  setMeta,
} from './phone';
export { loadPhoto, type PhotoInfo, PhotoRefused, savePhoto } from './photos';
export type { DateRange, SaveItem } from './records';
export type { Conflict, Fields, PhotoRow, Problem, View } from './rows';
export { saveTrouble } from './trouble';
