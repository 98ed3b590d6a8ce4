import type { ScreenProps } from '../../app/routes';
import { t } from '../../text';
import { NoPlot } from '../forms/no_plot';
import { mayRecord, usePlotFacts } from '../forms/plot_facts';
import { AllTrials } from './all';
import { OneTrialPage } from './one';
import { Planner } from './planner';
import '../forms/style.css';
import './style.css';

export default function Trials({ params }: ScreenProps) {
  const facts = usePlotFacts();
  if (!facts) return <div class="page" aria-busy="true" />;
  if (!facts.plot) return <NoPlot title={t('trials.title')} />;
  // Who may not write is shown the trials there are instead of a form that would be refused.
  if (params.id === undefined || (params.id === 'new' && !mayRecord(facts)))
    return <AllTrials facts={facts} />;
  if (params.id === 'new') return <Planner facts={facts} />;
  return <OneTrialPage key={params.id} id={params.id} facts={facts} />;
}
