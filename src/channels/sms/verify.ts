// Tells whether a form post truly comes from the gateway: its signature over our public address and every field.
import webhooks from 'twilio/lib/webhooks/webhooks.js';

export type Form = Record<string, unknown>;

/**
 * `publicUrl` is the one configured address: behind a proxy the Host header is not what the gateway signed.
 * All fields are signed, also those we do not know: the gateway adds new ones without notice.
 */
export function isFromGateway(
  account: { authToken: string; publicUrl: string },
  request: { signature: string | undefined; path: string; form: Form },
): boolean {
  if (!request.signature) return false;
  const url = account.publicUrl.replace(/\/+$/, '') + request.path;
  return webhooks.validateRequest(account.authToken, request.signature, url, request.form);
}
