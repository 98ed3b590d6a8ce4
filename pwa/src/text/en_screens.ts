/** The words of every screen that is fetched when it is first opened. A new section is added here. */
import { bulk } from './en/bulk';
import { channels } from './en/channels';
import { crops } from './en/crops';
import { cultures } from './en/cultures';
import { diary } from './en/diary';
import { evening } from './en/evening';
import { files } from './en/files';
import { findings } from './en/findings';
import { first_run } from './en/first_run';
import { keeping } from './en/keeping';
import { keying } from './en/keying';
import { keys } from './en/keys';
import { paper } from './en/paper';
import { past } from './en/past';
import { photos } from './en/photos';
import { pictures } from './en/pictures';
import { plot } from './en/plot';
import { readings } from './en/readings';
import { samples } from './en/samples';
import { sketch } from './en/sketch';
import { sketch_editor } from './en/sketch_editor';
import { sync } from './en/sync';
import { traps } from './en/traps';
import { treatment } from './en/treatment';
import { trials } from './en/trials';
import { warnings } from './en/warnings';
import { watch } from './en/watch';

export const enScreens = {
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
  paper,
  keys,
  past,
  pictures,
  photos,
  plot,
  readings,
  samples,
  sketch,
  sketch_editor,
  sync,
  traps,
  treatment,
  trials,
  warnings,
  watch,
} as const;
