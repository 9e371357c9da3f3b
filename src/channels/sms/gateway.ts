// Sends texts through the SMS gateway's REST API, and looks up whether an unclear attempt went out.
import type twilio from 'twilio';
import { foldForSms } from '../../wording/fold.ts';
import { reportUrl } from './report-url.ts';
import { classifyAnswer, classifySilence } from './error-classes.ts';

export interface GatewaySettings {
  accountSid: string;
  authToken: string;
  /** One of the two: our number, or the messaging service that chooses one. */
  sender: { from: string } | { messagingServiceSid: string };
  /** Another base address for the API: a proxy, an emulator. */
  apiUrl: string | null;
  /** Where delivery reports go, without a query. */
  statusUrl: string;
  timeoutMs: number;
}

/** What became of an attempt. `error` never holds a number or a text. */
type SendOutcome =
  | { state: 'sent'; carrierId: string }
  /** `everywhere`: the gateway itself is in trouble, not this text alone. */
  | { state: 'retry'; error: string; afterMs: number; everywhere: boolean }
  | { state: 'unclear'; error: string; everywhere: boolean }
  | { state: 'failed'; error: string; why: 'permanent' | 'opted-out' | 'bug' };

/** `to` is E.164, such as `+12025550101`. */
export interface Gateway {
  send(text: { to: string; text: string; line: number }): Promise<SendOutcome>;
  /**
   * The first text to `to` with these words, made at `since` (ms since 1970, real time) or later: what was asked in the
   * same words afterwards is another text. One that failed only where no other did better, and none that `isOther`.
   * Rejects when the list cannot be read.
   */
  find(text: {
    to: string;
    text: string;
    since: number;
    isOther?: (carrierId: string) => Promise<boolean>;
  }): Promise<{ carrierId: string; state: 'sent' | 'delivered' | 'failed' } | null>;
}

/** Our clock and the gateway's may differ by this much. */
const CLOCK_SKEW_MS = 30_000;
/** One page of the list at its largest, newest first: what was sent to one number in the meantime, were it a busy clinician's. */
const LIST_LIMIT = 1000;

/** The ends among the gateway's words for a listed text; all others say that it is on its way. */
const FOUND_AS: Readonly<Record<string, 'delivered' | 'failed'>> = {
  delivered: 'delivered',
  read: 'delivered',
  undelivered: 'failed',
  failed: 'failed',
  canceled: 'failed',
};

/** Loads the SDK with the first text: it takes up to a second, which the start of the server need not wait for. */
export function openGateway(settings: GatewaySettings): Gateway {
  let opening: Promise<twilio.Twilio> | null = null;
  const open = () => (opening ??= connect(settings));
  return {
    async send({ to, text, line }) {
      const client = await open();
      const statusCallback = reportUrl(settings.statusUrl, line);
      try {
        const made = await client.messages.create({
          to,
          body: foldForSms(text),
          statusCallback,
          ...settings.sender,
        });
        return made.sid
          ? { state: 'sent', carrierId: made.sid }
          : { state: 'unclear', error: 'an answer without an id', everywhere: true };
      } catch (fault) {
        return judge(fault);
      }
    },
    async find({ to, text, since, isOther }) {
      const client = await open();
      const from = 'from' in settings.sender ? { from: settings.sender.from } : {};
      const listed = await client.messages.list({ to, ...from, limit: LIST_LIMIT });
      const words = foldForSms(text);
      const found = listed
        .filter((one) => one.body === words && one.dateCreated.getTime() >= since - CLOCK_SKEW_MS)
        .toSorted((a, b) => a.dateCreated.getTime() - b.dateCreated.getTime());
      let failed: Awaited<ReturnType<Gateway['find']>> = null;
      for (const { sid, status } of found) {
        if (await isOther?.(sid)) continue;
        const state = FOUND_AS[status] ?? 'sent';
        if (state !== 'failed') return { carrierId: sid, state };
        failed = { carrierId: sid, state };
      }
      return failed;
    },
  };
}

async function connect(settings: GatewaySettings): Promise<twilio.Twilio> {
  const { default: sdk } = await import('twilio');
  const { accountSid, authToken, apiUrl, timeoutMs } = settings;
  // Our own back-off decides when to try again, so the SDK's retry stays off.
  const options = { timeout: timeoutMs, autoRetry: false };
  const httpClient = apiUrl ? redirected(sdk, apiUrl, options) : new sdk.RequestClient(options);
  return sdk(accountSid, authToken, { httpClient });
}

/** The SDK has no setting for another base address; a subclass is the way its authors offer. */
function redirected(sdk: typeof twilio, apiUrl: string, options: { timeout: number }): twilio.RequestClient {
  const base = apiUrl.replace(/\/+$/, '');
  class Redirected extends sdk.RequestClient {
    override request: twilio.RequestClient['request'] = (asked) => {
      const { pathname, search } = new URL(asked.uri);
      return super.request({ ...asked, uri: base + pathname + search });
    };
  }
  return new Redirected(options);
}

function judge(fault: unknown): SendOutcome {
  const { status, code } = fault as { status?: unknown; code?: unknown };
  const answered = typeof status === 'number';
  const row = answered
    ? classifyAnswer(status, typeof code === 'number' ? code : null)
    : classifySilence(typeof code === 'string' ? code : '');
  // The gateway's own message may hold the number, so only its codes and our reason are kept.
  const error = `${[answered ? `HTTP ${status}` : null, code].filter(Boolean).join(' ')}: ${row.reason}`;
  const everywhere = row.everywhere ?? false;
  switch (row.class) {
    case 'retry':
      return { state: 'retry', error, afterMs: row.afterMs, everywhere };
    case 'unclear':
      return { state: 'unclear', error, everywhere };
    default:
      return { state: 'failed', error, why: row.class };
  }
}
