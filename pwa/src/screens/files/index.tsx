import { PageHeader } from '../../parts';
import { t } from '../../text';
import { NoPlot } from '../forms/no_plot';
import { mayRecord, usePlotFacts } from '../forms/plot_facts';
import { BringIn } from './bring_in';
import { Reports } from './reports';
import { TakeOut } from './take_out';
import '../forms/style.css';
import './style.css';

/** Files out of the plot and into it. All of it is done by the server at home, so all of it needs the network. */
export default function Files() {
  const facts = usePlotFacts();
  if (!facts) return <div class="page" aria-busy="true" />;
  if (!facts.plot || !facts.plot_id) return <NoPlot title={t('files.title')} />;
  return (
    <div class="page">
      <PageHeader title={t('files.title')} back="/sync" under={t('files.under')} />
      <Reports plotId={facts.plot_id} timeZone={facts.time_zone} />
      <TakeOut plotId={facts.plot_id} />
      {mayRecord(facts) && <BringIn plotId={facts.plot_id} facts={facts} />}
    </div>
  );
}
