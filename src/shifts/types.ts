// What is kept of when a clinician is on call: weekly shifts in their own civil time, and what differs once.

/** Milliseconds since 1970 on the cases' clock. */
export type Instant = number;

/** One shift that comes again every week, in civil time. Where `to` is not after `from`, it ends on the next day. */
export interface Shift {
  /** Of its beginning: 1 Monday to 7 Sunday. */
  weekday: number;
  /** `HH:MM`, from 00:00 to 23:59. */
  from: string;
  to: string;
}

/** What holds once: `on` an extra shift, `off` away, `first` handed the phone, so on call and before all others. */
export interface Exception {
  kind: 'on' | 'off' | 'first';
  from: Instant;
  to: Instant;
}

export interface Duty {
  /** An IANA name, such as Europe/Kyiv. */
  zone: string;
  shifts: Shift[];
  exceptions: Exception[];
}

/** A clinician as far as this room looks; in calling order wherever there are several. */
export interface OnRota {
  id: string;
  /** Absent until something was given. */
  duty?: Duty;
}

/** From the first moment up to, and without, the last. */
export interface Stretch {
  from: Instant;
  to: Instant;
}

/** A stretch in which nobody's being on call changes. */
export interface Span extends Stretch {
  /** Ids of those on call, the first rung first. Empty: a gap. */
  onCall: string[];
  /** Everybody, in the order they are rung: a call always ends with a person. */
  order: string[];
}
