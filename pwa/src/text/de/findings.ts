export const findings = {
  title: 'Befunde',
  pressure: 'Schneckendruck',
  span: 'Zeit',
  span_month: 'Monat',
  span_season: 'Saison',
  span_all: 'Alles',
  empty_title: 'Noch keine Runden',
  empty_text: 'Nach der ersten Runde steht hier ihr Mittel je Brett und wie sicher es ist.',
  axis: 'Schnecken je Brett',
  chart_label:
    'Mittlere Zahl der Schnecken je Brett in jeder Runde, mit ihrem 95-%-Bereich. Dieselben Zahlen stehen unten in der Tabelle.',
  key_valid: 'Runde',
  key_not_valid: 'Nicht gültig',
  key_disputed: 'Zu klären',
  key_treatment: 'Behandlung',
  key_interval: '95-%-Bereich',
  sentence:
    'Letzte Runde, {day}: {mean} Schnecken je Brett (95 %: {low} bis {high}) aus {n} {n|Brett|Brettern}.',
  sentence_open:
    'Letzte Runde, {day}: {mean} Schnecken je Brett aus {n} {n|Brett|Brettern}, zu wenige, um zu sagen, wie sicher.',
  against_above: 'Das liegt über dem Üblichen, {usual}, der {n} Runden davor.',
  against_below: 'Das liegt unter dem Üblichen, {usual}, der {n} Runden davor.',
  against_within: 'Das Übliche der {n} Runden davor, {usual}, liegt darin.',
  against_none: 'Es braucht drei gültige Runden davor, um zu sagen, was üblich ist.',
  no_alarm: 'Dies vergleicht eine Runde mit dem Mittel der Runden davor; ein Alarm ist es nicht.',
  last_not_counted:
    'Neuere Runden, die nicht gültig oder noch zu klären sind, kommen in diesem Satz nicht vor.',
  table: 'Die Zahlen',
  col_day: 'Tag',
  col_boards: 'Bretter',
  col_mean: 'Mittel',
  col_interval: '95 %',
  open_end: '{low} und mehr',
  standing_valid: 'gültig',
  standing_not_valid: 'nicht gültig',
  standing_not_valid_why: 'nicht gültig: {why}',
  standing_disputed: '{n} {n|Brett|Bretter} zu klären',
  standing_disputed_round: 'Runde zu klären',
  missed: '{n} nicht umgedreht oder unbrauchbar',
  kept_both: '{n} zweimal gezählt und nicht im Mittel',
  to_settle: 'Klären',
  n_disputed:
    '{n} {n|Runde hat|Runden haben} ein zweimal gezähltes Brett oder einen umstrittenen Wert. Diese Bretter zählen nicht in den Mitteln.',
  treatments: 'Behandlungen in dieser Zeit',
  how: 'Wie das berechnet ist',
  how_text:
    'Jedes Brett zählt einmal; nicht umgedrehte und unbrauchbare bleiben heraus, Bretter ohne Fund zählen als null. Die Bereiche folgen der negativen Binomialverteilung, wo sich Bretter stärker als durch Zufall unterscheiden, sonst exakt der Poissonverteilung. Bretter fangen kleine Schnecken zu selten; vergleiche nur deine eigenen Bretter mit sich selbst.',
  warned: 'Wie gut die Warnungen waren',
  warned_none:
    'Es wurde noch nichts beurteilt. Sag morgens, ob es gefroren hat, dann wächst hier die Bilanz.',
  warned_here:
    'Nach den Antworten auf diesem Handy {n|war|waren} {hits} von {n} {n|Warnung|Warnungen} richtig. Der Server hat es noch nicht beurteilt.',
  warned_words: '{hits} von {n} {n|Warnung war|Warnungen waren} richtig, {misses}-mal kam es ohne Warnung.',
  replay_title: '{title}: über alle deine Einträge noch einmal gefragt',
  replay_says:
    '{n}-mal gefragt, {came} {came|Mal|Mal} kam es: {hits} mit Warnung, {misses} ohne; {false_alarms} {false_alarms|Warnung war|Warnungen waren} umsonst.',
  replay_lead: 'Ihre Warnungen kamen im Mittel {hours}\u00a0h vorher.',
  lead_none: 'Sie hat vor nichts gewarnt, das kam, also gibt es keine Vorlaufzeit.',
  replay_unread:
    'Noch {unread} {unread|Mal|Mal} kam es, ohne dass jemand die Messung gemacht hatte, die die Regel braucht.',
  replay_event: 'Was zählt: {event}. Veröffentlichtes Verfahren: {method}. Vom Server berechnet {day}.',
  col_rule: 'Regel',
  col_hits: 'Richtig',
  col_false: 'Umsonst',
  col_missed: 'Verpasst',
  way_rule: 'Diese Regel',
  way_published: 'Ver\u00adöffent\u00adlicht',
  way_always: 'Immer',
  way_never: 'Nie',
  row_hits: 'Richtig',
  row_missed: 'Verpasst',
  row_false: 'Umsonst',
  row_pod: 'Erwischt',
  row_far: 'Vergeblich',
  row_csi: 'Erfolg',
  row_cost: 'Kosten',
  shares_meaning:
    'Erwischt: Anteil von dem, was kam, vor dem gewarnt wurde (POD). Vergeblich: Anteil der Warnungen, die umsonst waren (FAR). Erfolg: die richtigen unter allem, was kam oder wovor gewarnt wurde (CSI).',
  shares_caught: 'Die Regel hat {found} von {all} erwischt (95\u00a0%: {span}).',
  shares_wasted:
    'Von ihren {all} {all|Warnung|Warnungen} {found|war|waren} {found} umsonst (95\u00a0%: {span}).',
  cost_words:
    'Eine Warnung mit {cost} und ein Versäumnis mit {loss} angesetzt, hätte diese Regel {rule} gekostet, das veröffentlichte Verfahren {published}, immer warnen {always}, nie warnen {never}.',
  cheapest_rule: 'Die Regel war am billigsten.',
  cheapest_published: 'Das veröffentlichte Verfahren war billiger als diese Regel.',
  cheapest_always: 'Immer zu warnen war billiger als diese Regel.',
  cheapest_never: 'Nie zu warnen war billiger als diese Regel.',
  cheapest_shared: 'Kein anderer Weg war billiger als die Regel.',
  cheapest_others: 'Andere Wege waren billiger als diese Regel.',
  brier_title: 'Brier-Wert',
  brier:
    '{brier}: wie weit das Gesagte von dem entfernt war, was kam, im Quadrat, im Mittel. Null ist vollkommen, 1 immer falsch, und wer jedes Mal 50\u00a0% sagt, bekommt 0,25.',
  brier_better:
    'Wer jedes Mal nur sagt, wie oft es vorkam, bekommt {usual}; die Regel wusste also mehr als das.',
  brier_worse:
    'Wer jedes Mal nur sagt, wie oft es vorkam, bekommt {usual}; die Regel wusste also weniger als das.',
  brier_same: 'Wer jedes Mal nur sagt, wie oft es vorkam, bekommt dasselbe.',
  rel_title: 'Kam es so oft, wie sie sagte?',
  rel_fits:
    'Sie gab im Mittel {said}, und es kam {came} von {n} Malen: {share} (95\u00a0%: {span}). Im Ganzen passen die Wahrscheinlichkeiten, soweit {n} {n|Mal|Male} das sagen können.',
  rel_too_low:
    'Sie gab im Mittel {said}, und es kam {came} von {n} Malen: {share} (95\u00a0%: {span}). Im Ganzen waren die Wahrscheinlichkeiten zu niedrig: Es kam öfter, als sie sagte.',
  rel_too_high:
    'Sie gab im Mittel {said}, und es kam {came} von {n} Malen: {share} (95\u00a0%: {span}). Im Ganzen waren die Wahrscheinlichkeiten zu hoch: Es kam seltener, als sie sagte.',
  rel_label:
    'Gegebene Wahrscheinlichkeiten, in Zehnteln, neben dem Anteil, der eintrat, mit seinem 95-%-Bereich. Dieselben Zahlen stehen unten in der Tabelle.',
  rel_axis_x: 'Gegebene Wahrscheinlichkeit',
  rel_axis_y: 'Anteil, der eintrat',
  rel_key_even: 'So oft wie gesagt',
  rel_key_dot: 'Größer: öfter gefragt',
  rel_key_few: 'Wenige: unter {few}-mal',
  rel_few:
    '{few} von {bins} {bins|Punkt steht|Punkten stehen} für weniger als {least} Male und {few|ist|sind} klein gezeichnet: Eine einzige Nacht entscheidet, wo {few|er liegt|sie liegen}.',
  rel_col_said: 'Gesagt',
  rel_col_n: 'Male',
  rel_col_came: 'Kam',
  rel_row_few: 'wenige',
};
