/** The shared parts of every screen. Styles: styles/parts.css; measures and colours: styles/tokens.css. */
export { Button, ButtonLink, IconButton } from './button';
export { Badge, Card } from './card';
export { type Choice, Field, LongTextField, SelectField, TextField, Toggle } from './field';
export { Icon, type IconName } from './icons';
export { type Look, type LookChoice, look, lookChoice } from './look';
export { Caution, EmptyState, Notice } from './notice';
export { NumberPad, typedNumber, typeKey } from './number_pad';
export { PageHeader } from './page_header';
export { RangeBar } from './range_bar';
export { goBack, Link, navigate, path } from './router';
export { Segmented } from './segmented';
export { Sheet } from './sheet';
