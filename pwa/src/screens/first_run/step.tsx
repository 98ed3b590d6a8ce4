import { PageHeader } from '../../parts';
import { t } from '../../text';
import type { Fault, FirstRunDraft } from './model';

export type StepProps = {
  draft: FirstRunDraft;
  change: (next: Partial<FirstRunDraft> | ((now: FirstRunDraft) => FirstRunDraft)) => void;
  /** Empty until the person has tried to go on. */
  faults: readonly Fault[];
};

/** The heading that all questions share. */
export function Step({ title, n, of }: { title: string; n?: number; of?: number }) {
  return <PageHeader title={title} {...(n && of ? { under: t('first_run.step', { n, of }) } : {})} />;
}

/** The sentence for a fault of this kind (at this item), when there is one. */
export function faultWords(faults: readonly Fault[], key: Fault['key'], id?: string): string | undefined {
  const found = faults.find((fault) => fault.key === key && (id === undefined || fault.id === id));
  return found && t(`first_run.fault_${found.key}`);
}
