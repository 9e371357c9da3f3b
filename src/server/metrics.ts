// The counts as Prometheus text.

export interface Counts {
  openCases: number;
  openCalls: number;
  waitingTexts: number;
  dueTimers: number;
}

/** One gauge a count; the version in force as a label. */
export function metricsText(counts: Counts, version: string): string {
  const gauge = (name: string, help: string, value: number) =>
    `# HELP palmward_${name} ${help}\n# TYPE palmward_${name} gauge\npalmward_${name} ${value}\n`;
  return [
    gauge('open_cases', 'Cases that are looked after now', counts.openCases),
    gauge('open_calls', 'Calls that no clinician has accepted yet', counts.openCalls),
    gauge('waiting_texts', 'Texts that still have to be carried', counts.waitingTexts),
    gauge('due_timers', 'Timers that are due and have not run', counts.dueTimers),
    `# HELP palmward_protocol The version of the protocol in force\n# TYPE palmward_protocol gauge\npalmward_protocol{version="${version}"} 1\n`,
  ].join('');
}
