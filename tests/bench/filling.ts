// What the filled ledger holds: how many open cases, and whose.

export const CASES = 100_000;

export const addressOf = (nth: number): string => `sms:+1404${String(nth).padStart(7, '0')}`;
