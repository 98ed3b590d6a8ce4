/** German: the words of every screen that is fetched when it is first opened (en_screens.ts). */
import { bulk } from './de/bulk';
import { channels } from './de/channels';
import { crops } from './de/crops';
import { cultures } from './de/cultures';
import { diary } from './de/diary';
import { evening } from './de/evening';
import { files } from './de/files';
import { findings } from './de/findings';
import { first_run } from './de/first_run';
import { keeping } from './de/keeping';
import { keying } from './de/keying';
import { keys } from './de/keys';
import { paper } from './de/paper';
import { past } from './de/past';
import { photos } from './de/photos';
import { pictures } from './de/pictures';
import { plot } from './de/plot';
import { readings } from './de/readings';
import { rules } from './de/rules';
import { samples } from './de/samples';
import { sketch } from './de/sketch';
import { sketch_editor } from './de/sketch_editor';
import { sync } from './de/sync';
import { traps } from './de/traps';
import { treatment } from './de/treatment';
import { trials } from './de/trials';
import { warnings } from './de/warnings';
import { watch } from './de/watch';

export const deScreens = {
  bulk,
  channels,
  crops,
  cultures,
  diary,
  evening,
  files,
  findings,
  first_run,
  keeping,
  keying,
  keys,
  paper,
  past,
  photos,
  pictures,
  plot,
  readings,
  rules,
  samples,
  sketch,
  sketch_editor,
  sync,
  traps,
  treatment,
  trials,
  warnings,
  watch,
};
