// What an operator watches, as Prometheus text and as a line each for people.

/** Ages in seconds; 0 where there is nothing of the kind. Counters count from the start of the process. */
export interface Watched {
  openCases: number;
  openCalls: number;
  waitingTexts: number;
  dueTimers: number;
  oldestWaitingAge: number;
  oldestOverdueCheckAge: number;
  oldestOpenCallAge: number;
  faultyTexts: number;
  failedTexts: number;
  droppedTexts: number;
  notStoredTexts: number;
  refusedPosts: number;
  partsToday: number;
  /** Share of the day's cap that is used; 0 without a cap. */
  spentShare: number;
  busiestBlock: number;
  /** How far the cases' clock is ahead of the wall. */
  clockAhead: number;
  /** Hours of the next 24 in which nobody is on call. */
  gapHours: number;
  /** 1 while the protocol in force is withdrawn. */
  protocolWithdrawn: number;
  /** 1 while the ledger cannot be reached; then most figures are missing. */
  ledgerAway: number;
}

const FIGURES: Record<keyof Watched, [name: string, type: 'gauge' | 'counter', help: string]> = {
  openCases: ['open_cases', 'gauge', 'Cases that are looked after now'],
  openCalls: ['open_calls', 'gauge', 'Calls that no clinician has accepted yet'],
  waitingTexts: ['waiting_texts', 'gauge', 'Texts that still have to be carried'],
  dueTimers: ['due_timers', 'gauge', 'Timers that are due and have not run'],
  oldestWaitingAge: [
    'oldest_waiting_text_seconds',
    'gauge',
    'Age of the text that waits longest to be carried',
  ],
  oldestOverdueCheckAge: [
    'oldest_overdue_check_seconds',
    'gauge',
    'How long the circulation check is wanted that nobody answered or asked',
  ],
  oldestOpenCallAge: [
    'oldest_open_call_seconds',
    'gauge',
    'Age of the oldest call that no clinician accepted',
  ],
  faultyTexts: ['faulty_texts', 'gauge', 'Texts that came in and whose turn failed'],
  failedTexts: ['failed_texts_total', 'counter', 'Texts that could not be delivered'],
  droppedTexts: ['dropped_texts_total', 'counter', 'Texts that were outdated before they could be sent'],
  notStoredTexts: [
    'texts_not_stored_total',
    'counter',
    'Texts that came in and could not be stored: whoever brought them was told to come again',
  ],
  refusedPosts: [
    'refused_posts_total',
    'counter',
    'Posts to the addresses of the gateway that it did not sign: a wrong token or PUBLIC_URL, or a stranger',
  ],
  partsToday: ['sms_parts_today', 'gauge', 'SMS parts sent since local midnight'],
  spentShare: ['spent_share', 'gauge', 'Share of the SMS parts of the day that is used'],
  busiestBlock: [
    'busiest_block_cases',
    'gauge',
    'New cases in the last hour from the busiest block of numbers',
  ],
  gapHours: [
    'rota_gap_hours_ahead',
    'gauge',
    'Hours of the next 24 in which nobody is on call, so that everybody is rung',
  ],
  protocolWithdrawn: [
    'protocol_withdrawn',
    'gauge',
    'Whether the protocol in force is withdrawn: 1 if so, and new cases get no position',
  ],
  ledgerAway: [
    'ledger_away',
    'gauge',
    'Whether the ledger cannot be reached: 1 if so, and figures that are read from it are missing',
  ],
  clockAhead: ['clock_ahead_seconds', 'gauge', 'How far the clock of the cases is ahead of the wall clock'],
};

/** The version in force goes along as a label. A figure that is not known is left out. */
export function metricsText(watched: Partial<Watched>, version: string): string {
  const figures = Object.entries(FIGURES).flatMap(([field, [name, type, help]]) => {
    const value = watched[field as keyof Watched];
    return value === undefined
      ? []
      : [
          `# HELP palmward_${name} ${help}\n# TYPE palmward_${name} ${type}\npalmward_${name} ${round(value)}\n`,
        ];
  });
  const protocol = `# HELP palmward_protocol The version of the protocol in force\n# TYPE palmward_protocol gauge\npalmward_protocol{version="${version}"} 1\n`;
  return figures.join('') + protocol;
}

/** The same for people, without what is nothing. */
export function watchedLines(watched: Watched): string[] {
  return Object.entries(FIGURES).flatMap(([field, [name, , help]]) => {
    const value = round(watched[field as keyof Watched]);
    if (value === 0) return [];
    return [`${help}: ${name.endsWith('_seconds') ? `${Math.ceil(value)} s` : value}`];
  });
}

function round(value: number): number {
  return Math.round(value * 1000) / 1000;
}
